"""An answer as the JSON object that programs read."""

from __future__ import annotations

from assistant.model import Answer

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__all__ = ["answer_to_json"]


def answer_to_json(answer: Answer) -> dict[str, Any]:
    """Return the answer as JSON-ready values, always with the same keys in the same order.

    Where the note has pictures, ``pictures`` tells of them at the end.
    """
    note = answer.note
    told: dict[str, Any] = {
        "id": answer.id,
        "question": answer.question,
        "read_as": answer.read_as,
        "decision": answer.decision,
        "about": answer.about,
        "text": answer.text,
        "note": None
        if note is None
        else {
            "id": note.id,
            "title": note.title,
            "action": note.action,
            "minutes": note.minutes,
            "parts": list(note.parts),
            "tools": list(note.tools),
            "revision": note.revision,
            "reviewed": note.reviewed,
            "sources": list(note.sources),
        },
        "safety": [
            {"signal": message.signal, "text": message.text, "before_step": message.before_step}
            for message in answer.safety
        ],
        "steps": [{"n": step.n, "text": step.text, "matches": step.matches} for step in answer.steps],
        "options": [{"id": option.id, "title": option.title} for option in answer.options],
        "confidence": answer.confidence,
        "emergency": answer.emergency,
        "contacts": [{"name": contact.name, "number": contact.number} for contact in answer.contacts],
        "why": [{"term": reason.term, "field": reason.field, "points": reason.points} for reason in answer.why],
        "pack": answer.pack,
    }
    if note is not None and note.figures:
        told["pictures"] = [
            {"name": figure.name, "text": figure.alt, "step": figure.step or None} for figure in note.figures
        ]
    return told
