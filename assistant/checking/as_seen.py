"""A note as a rep sees it, whatever its file looks like: the lines of its card, and what it tells when asked why."""

from __future__ import annotations

from assistant.answering.card import card
from assistant.answering.compose import direct_answer, named_contacts
from assistant.languages import speak
from assistant.model import Answer, Note, ShownStep, Trade

__all__ = ["answer_of", "seen_lines"]

_DIGITS = 12
_TOLD_WHEN_ASKED = ("Condition", "Cause", "Why")


def answer_of(note: Note, trade: Trade) -> Answer:
    """Return the answer that shows a whole note, nothing in it marked, without any pack."""
    speak(trade.language)
    action = trade.actions.get(note.action, note.action)
    return Answer(
        question="",
        read_as="",
        decision="answer",
        about="procedure",
        text=direct_answer(note, "procedure", 0, action=action),
        note=note,
        safety=note.safety,
        steps=tuple(
            ShownStep(step.n, step.text, False, tuple(branch.text for branch in step.branches)) for step in note.steps
        ),
        options=(),
        confidence=1.0,
        why=(),
        pack="",
        action=action,
        contacts=named_contacts(note, trade),
        language=trade.language,
    )


def seen_lines(note: Note, trade: Trade) -> tuple[str, ...]:
    """Return a line for each piece of the card, without the line on its revision, then what it tells when asked.

    Of a picture there is a further line that is another where what is drawn is.
    """
    blocks = [block for block in card(answer_of(note, trade)) if block.kind != "source"]
    told = zip(_TOLD_WHEN_ASKED, (note.condition, "; ".join(note.cause), note.why), strict=True)
    return (
        *(": ".join(part for part in (block.head, block.text) if part) for block in blocks),
        *(f"{heading}: {text}" for heading, text in told if text),
        *(f"Picture {figure.name}, as drawn: {figure.digest[:_DIGITS]}" for figure in note.figures),
    )
