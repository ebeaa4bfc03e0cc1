"""C610: minutes are plausible."""

from __future__ import annotations

from collections.abc import Iterator

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, waits
from assistant.model import Note

__all__ = ["RULE"]

_FEWEST, _MOST = 1, 90
_FEWEST_A_STEP, _MOST_A_STEP = 0.5, 8


def _fault(note: Note) -> str:
    """Say what is wrong with the minutes, empty where nothing is."""
    texts = (*(step.text for step in note.steps), *(message.text for message in note.safety))
    needed = sum(sum(waits(text)) for text in texts) + _FEWEST_A_STEP * len(note.steps)
    proof = max(waits(note.result), default=0)
    if not _FEWEST <= note.minutes <= _MOST:
        return f"{note.minutes} minutes, {_FEWEST} to {_MOST} are wanted"
    if note.minutes > _MOST_A_STEP * len(note.steps):
        return f"{note.minutes} minutes are too many for {len(note.steps)} steps"
    if note.minutes < needed:
        return f"{note.minutes} minutes, and its steps and waits need {needed:g}"
    return f"{note.minutes} minutes, and the result alone takes {proof}" if proof and note.minutes <= proof else ""


def _find(book: Book) -> Iterator[Finding]:
    for note in book.corpus.notes:
        if fault := _fault(note):
            yield at_field(book, note, "minutes", fault)


RULE = Rule(
    code="C610",
    name="minutes-plausible",
    severity="warning",
    summary="Minutes are 1 to 90, half a minute to eight a step, and cover every wait and the proof.",
    reason="A visit is planned by the sum of its minutes.",
    source="common practice",
    good="minutes: 6",
    bad="minutes: 90",
    find=_find,
    place="front",
)
