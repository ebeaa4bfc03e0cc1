"""C712: no alarm rings at what another note is asked for by."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache

from assistant.analysis.features import sentences
from assistant.analysis.tokens import tokenize
from assistant.answering.alarm import heard
from assistant.checking.asked import phrased
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import clip
from assistant.languages import Language, language_of
from assistant.model import Alarm

__all__ = ["RULE"]


def _find(book: Book) -> Iterator[Finding]:
    alarms = book.corpus.alarms
    language = language_of(book.corpus.trade.language)
    begun = _begun(alarms, language)
    harm = {alarm.note for alarm in alarms} | {note for note, _ in book.corpus.dangers}
    told: set[tuple[str, int, str]] = set()
    for path, line, note, text in _lines(book):
        if note in harm:
            continue
        words = tokenize(text, language)
        whole = f" {' '.join(words)} "
        near = sorted({alarm for word in words for alarm in begun.get(word, ()) if f" {alarm[1]} " in whole})
        if not near:
            continue
        spoken = [tokenize(sentence, language) for sentence in sentences(text, language)]
        found = heard(spoken, ((phrase, place, lifts) for place, phrase, lifts in near))
        if found and (path, line, found[1]) not in told:
            told.add((path, line, found[1]))
            yield Finding(path, line, f"'{found[1]}' puts {alarms[found[0]].note} first for {clip(text)}")


def _lines(book: Book) -> Iterator[tuple[str, int, str, str]]:
    """Yield (path, line, note, text) of every plain line, and of every pair of a thing and a trouble."""
    for one in phrased(book, "plain"):
        yield one.path, one.line, one.note.id, one.text
    for one in phrased(book, "troubles"):
        yield from ((one.path, one.line, one.note.id, f"{thing} {one.text}") for thing in one.note.phrases.things)


@lru_cache(maxsize=1)
def _begun(alarms: Sequence[Alarm], language: Language) -> Mapping[str, list[tuple[int, str, int]]]:
    """Return (place of the alarm, phrase, 1 where it lifts) by the phrase's first word."""
    begun = defaultdict(list)
    for rank, alarm in enumerate(alarms):
        for lifts, texts in enumerate((alarm.words, alarm.lifted_by)):
            for words in filter(None, (tokenize(text, language) for text in texts)):
                begun[words[0]].append((rank, " ".join(words), lifts))
    return begun


RULE = Rule(
    code="C712",
    name="no-false-alarm",
    severity="warning",
    summary="No alarm word rings in the phrases of a note that is not about harm.",
    reason="The safety note would come first for a plain question about another note, and alarms would wear off.",
    source="common practice",
    good="- smoke test of the pad",
    bad="- smoke coloured pad lamp",
    find=_find,
    place="plain",
)
