"""Labels that a new note has made old: it answers outright what they say no note, or another one, answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Set
from typing import NamedTuple

from assistant.analysis.tokens import tokenize
from assistant.evaluation.labels import ANSWERABLE, LabelledQuestion, Talk
from assistant.evaluation.leakage import near_duplicates
from assistant.evaluation.run import Outcome, outcomes
from assistant.model import Corpus
from assistant.pack.reader import Pack
from assistant.progress import Progress, silent

__all__ = [
    "MOST_OLD",
    "OldLabel",
    "OldLine",
    "day_of",
    "is_old",
    "lines_answered",
    "named_since",
    "new_to_labels",
    "old_labels",
    "old_lines",
]

MOST_OLD = 0.02
"""Share of the labelled questions that may wait to be looked at again before the gate shuts."""
_MAY_BE_OLD = (*ANSWERABLE, "ambiguous", "uncovered", "look-alike")
"""Manners; what asks leave for a forbidden act, or tells of harm, is never another note's because that is new."""
_DAY = len("2026-11-02")


class OldLabel(NamedTuple):
    """A label to look at again, and the new note that answers its question outright."""

    question: LabelledQuestion
    note: str


class OldLine(NamedTuple):
    """A line of ``uncovered.txt`` that a new note covers, and how that is known."""

    line: str
    note: str
    why: str


def named_since(questions: Iterable[LabelledQuestion], talks: Iterable[Talk] = ()) -> dict[str, str]:
    """Return for each note that labels name the first day of which one does; empty where one does not tell its day."""
    found: dict[str, str] = {}
    named = [(q.since, q.relevant) for q in questions]
    named += [(turn.since or talk.since, turn.notes) for talk in talks for turn in talk.turns]
    for since, notes in named:
        for note in notes:
            day = day_of(since)
            found[note] = min(found.get(note, day), day)
    return found


def new_to_labels(notes: Iterable[str], named: Mapping[str, str]) -> frozenset[str]:
    """Return the notes that no label names, or such labels alone as tell since when they hold."""
    return frozenset(note for note in notes if named.get(note) != "")


def is_old(outcome: Outcome, named: Mapping[str, str], new: Set[str]) -> bool:
    """Tell whether a question was answered outright by a note that is new to its label.

    Parameters
    ----------
    named
        As `named_since` gives it: a label that holds since that day or later was made in sight of the note.
    new
        Notes that are known to be new.
    """
    q = outcome.question
    note = outcome.order[0][0] if outcome.order and outcome.decision == "answer" else ""
    if note not in new or q.danger or q.manner not in _MAY_BE_OLD or note in (*q.notes, *q.seen):
        return False
    return not named.get(note) or day_of(q.since) < named[note]


def old_labels(found: Iterable[Outcome], named: Mapping[str, str], new: Set[str]) -> list[OldLabel]:
    """Return the labels to look at again, in the order of ``found``."""
    return [OldLabel(one.question, one.order[0][0]) for one in found if is_old(one, named, new)]


def lines_answered(pack: Pack, lines: Iterable[str], progress: Progress = silent) -> dict[str, str]:
    """Return for each line that is answered outright the note that it is answered with."""
    asked = [LabelledQuestion(f"line-{n}", line, "uncovered", (), "", "") for n, line in enumerate(lines)]
    found = outcomes(pack, asked, progress)
    return {one.question.question: one.order[0][0] for one in found if one.decision == "answer" and one.order}


def old_lines(corpus: Corpus, new: Set[str], answered: Mapping[str, str]) -> list[OldLine]:
    """Return the lines of ``uncovered.txt`` that say what a new note's own lines say, or that it answers outright.

    Parameters
    ----------
    answered
        The note that answers a line outright, for those lines of which that was asked.
    """
    own = [
        (text, note.id)
        for note in corpus.notes
        if note.id in new
        for text in (*note.phrases.plain, *(example.question for example in note.examples))
    ]
    same = {tuple(tokenize(text)): note for text, note in own}
    near = dict(reversed(near_duplicates(corpus.uncovered, [text for text, _ in own])))
    found = []
    for place, line in enumerate(corpus.uncovered):
        if note := same.get(tuple(tokenize(line))):
            found.append(OldLine(line, note, "stands among its own lines"))
        elif place in near:
            text, note = own[near[place]]
            found.append(OldLine(line, note, f"nearly the same as its line '{text}'"))
        elif (note := answered.get(line, "")) in new:
            found.append(OldLine(line, note, "is answered with it outright"))
    return found


def day_of(since: str) -> str:
    """Return the day of a label's ``since``; empty where it tells none."""
    return since[:_DAY] if since[4:5] == "-" else ""
