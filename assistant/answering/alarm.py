"""Alarm words: a closed list that puts a safety note first, whatever else was asked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from assistant.pack.reader import Pack

__all__ = ["heard", "rung"]


def rung(sentences: Sequence[Sequence[str]], pack: Pack, repaired: Mapping[str, str]) -> int | None:
    """Return the number of the note that an alarm puts first, None where none rings.

    Parameters
    ----------
    sentences
        The words of each sentence; a phrase lifts an alarm in its own sentence alone, and only the words that it holds.
    repaired
        What words with a slip were taken for; an alarm rings in either spelling, of several the one that goes first.
    """
    typed = [tuple(sentence) for sentence in sentences]
    meant = [tuple(repaired.get(word, word) for word in sentence) for sentence in typed]
    spelled = list(dict.fromkeys([*typed, *meant]))
    found = heard(spelled, pack.alarms(word for sentence in spelled for word in sentence))
    return found[0] if found else None


def heard(sentences: Sequence[Sequence[str]], alarms: Iterable[tuple[str, int, int]]) -> tuple[int, str] | None:
    """Return the note that rings in ``sentences``, and its phrase; None where none rings.

    Parameters
    ----------
    alarms
        (phrase, note, 1 where it lifts); of two notes that ring the one that stands first here goes first.
    """
    spoken = " \n ".join(("", *map(" ".join, sentences), ""))  # a phrase stands in it as it would in one sentence
    phrases = [(phrase.split(" "), note, lifts) for phrase, note, lifts in alarms if f" {phrase} " in spoken]
    for note in dict.fromkeys(note for _, note, lifts in phrases if not lifts):
        words = [phrase for phrase, other, lifts in phrases if other == note and not lifts]
        lifted_by = [phrase for phrase, other, lifts in phrases if other == note and lifts]
        for sentence in sentences:
            lifted = {n for phrase in lifted_by for start in _starts(sentence, phrase) for n in _span(start, phrase)}
            for phrase in words:
                if any(not lifted.issuperset(_span(start, phrase)) for start in _starts(sentence, phrase)):
                    return note, " ".join(phrase)
    return None


def _starts(sentence: Sequence[str], phrase: Sequence[str]) -> list[int]:
    if phrase[0] not in sentence:
        return []
    size = len(phrase)
    return [i for i in range(len(sentence) - size + 1) if list(sentence[i : i + size]) == list(phrase)]


def _span(start: int, phrase: Sequence[str]) -> range:
    return range(start, start + len(phrase))
