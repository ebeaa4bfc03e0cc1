"""Plain text -> the Markdown of a note, which is read back as the same text."""

from __future__ import annotations

import re
from collections.abc import Sequence

from assistant.desk.skeleton import TO_WRITE

__all__ = ["choice_of", "item_text", "message_text", "step_text"]

_SIGNS = re.compile(r"([\\`*_\[\]<&])")
_BEGINS = re.compile(r"\A(\d*)([.)#+=~>-])")
_CHOICE = re.compile(r"\Aif .+: (?:go to step (\d{1,3})|(the work is done))\.\Z", re.IGNORECASE)
_PARTS = (f"What the hazard is {TO_WRITE}.", f"What it does {TO_WRITE}.", f"How to avoid it {TO_WRITE}.")
_SENTENCE_END = re.compile(r"[.!](?=\s|\Z)")


def choice_of(text: str) -> str:
    """Return the step that a choice of a note's form leads to, or ``done``; empty where a text is no such choice."""
    found = _CHOICE.match(text)
    return (found[1] or "done") if found else ""


def item_text(text: str, *, listed: bool) -> str:
    """Return a text as a paragraph, or as an item of a list."""
    return f"- {_escaped(text)}" if listed else _escaped(text)


def step_text(number: int, text: str, choices: Sequence[str]) -> str:
    """Return a step with its choices below it."""
    return "\n".join([f"{number}. {_escaped(text)}", *(f"   - {_escaped(choice)}" for choice in choices)])


def message_text(signal: str, text: str) -> str:
    """Return a safety message; of the three sentences that it needs, those it lacks are to be written."""
    ended = text if not text or text.endswith((".", "!")) else f"{text}."
    told = [_escaped(ended)] if ended else []
    return " ".join([f"> **{signal}**", *told, *_PARTS[len(_SENTENCE_END.findall(ended)) :]])


def _escaped(text: str) -> str:
    return _BEGINS.sub(r"\1\\\2", _SIGNS.sub(r"\\\1", text))
