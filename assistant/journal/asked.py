"""Keeping a question and what was answered; all that asking on the command line needs of the journal."""

from __future__ import annotations

from assistant.journal.first import Closing, Question, Visit

TYPE_CHECKING = False
if TYPE_CHECKING:
    from assistant.journal.store import Journal
    from assistant.model import Answer

__all__ = ["open_visit", "record_question"]


def open_visit(journal: Journal) -> Visit | None:
    """Return the visit that is open, or None; only the newest can be, as none is opened while another is."""
    visit = journal.last(Visit)
    return visit if visit and journal.last(Closing, visit=visit.id) is None else None


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
