"""C610: minutes are plausible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from assistant.checking.flow import falls_through
from assistant.checking.power import is_exempt
from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import at_field, waits
from assistant.checking.trade_words import words_of
from assistant.model import Note
from assistant.notes.front_matter import MOST_MINUTES
from assistant.wording import counted

__all__ = ["RULE"]

_FEWEST = 1
_FEWEST_A_STEP, _MOST_A_STEP = 0.5, 8


def _needed(
    note: Note, notes: Mapping[str, Note], isolating: str, n: int = 1, done: frozenset[int] = frozenset()
) -> float:
    """Return the minutes of the longest way from step ``n`` on that does no step twice.

    Half a minute a step, every wait of a step or of the message before it, and every note done on the way. A note on
    harm or a withdrawal on the way does not count, as nobody plans for it, nor any where the note only informs.
    """
    if n > len(note.steps) or n in done:
        return 0.0
    step = note.steps[n - 1]
    texts = (step.text, *(message.text for message in note.safety if message.before_step == n))
    behind = [_needed(note, notes, isolating, n + 1, done | {n})] if falls_through(step) else [0.0]
    for branch in step.branches:
        other = notes.get(branch.note) if branch.note and branch.step else None
        planned = other and note.action != "inform" and (other.id == isolating or not is_exempt(other))
        on_the_way = other.minutes if other and planned else 0
        behind.append(on_the_way + (_needed(note, notes, isolating, branch.step, done | {n}) if branch.step else 0.0))
    return _FEWEST_A_STEP + sum(sum(waits(text)) for text in texts) + max(behind)


def _fault(note: Note, notes: Mapping[str, Note], isolating: str) -> str:
    """Say what is wrong with the minutes, empty where nothing is."""
    told = counted(note.minutes, "minute")
    waited = max((minutes for step in note.steps for minutes in waits(step.text)), default=0)
    proof = max(waits(note.result), default=0)
    needed = _needed(note, notes, isolating) + max(0, proof - waited)
    if not _FEWEST <= note.minutes <= MOST_MINUTES:
        return f"{told}, {_FEWEST} to {MOST_MINUTES} are wanted"
    if note.minutes > _MOST_A_STEP * len(note.steps) + needed:
        return f"{told} are too many for {counted(len(note.steps), 'step')}"
    if note.minutes < needed:
        return f"{told}, and its longest way, with waits, notes on the way and proof, takes {needed:g}"
    return f"{told}, and the result alone takes {proof}" if proof and note.minutes <= proof else ""


def _find(book: Book) -> Iterator[Finding]:
    notes = {note.id: note for note in book.corpus.notes}
    isolating = words_of(book).isolating
    for note in book.corpus.notes:
        if fault := _fault(note, notes, isolating):
            yield at_field(book, note, "minutes", fault)


RULE = Rule(
    code="C610",
    name="minutes-plausible",
    severity="warning",
    summary="Minutes are 1 to 90, at most eight a step, and cover the longest way with its waits, notes and proof.",
    reason="A visit is planned by the sum of its minutes.",
    source="common practice",
    good="minutes: 6",
    bad="minutes: 90",
    find=_find,
    place="front",
    across=True,
)
