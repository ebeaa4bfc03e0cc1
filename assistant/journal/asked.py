"""Keeping a question and what was answered; all that asking on the command line needs of the journal."""

from __future__ import annotations

from assistant.journal.records import Closing, Question, Visit
from assistant.journal.store import Journal
from assistant.model import Answer

__all__ = ["open_visit", "record_question"]


def open_visit(journal: Journal) -> Visit | None:
    """Return the visit that is open, or None."""
    closed = {closing.visit for closing in journal.all(Closing)}
    return next((visit for visit in reversed(journal.all(Visit)) if visit.id not in closed), None)


def record_question(journal: Journal, answer: Answer, *, at: str = "") -> Question:
    """Record a question and its answer, with the visit that is open; ``at`` is the time, now where empty."""
    visit = open_visit(journal)
    return journal.add(
        Question(
            text=answer.question,
            decision=answer.decision,
            about=answer.about,
            note=answer.note.id if answer.note else "",
            options=" ".join(option.id for option in answer.options),
            read_as=answer.read_as,
            confidence=answer.confidence,
            pack=answer.pack,
            visit=visit.id if visit else None,
            at=at,
        )
    )
