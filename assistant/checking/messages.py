"""Which hazard of the table each safety message of a note is about."""

from __future__ import annotations

import re
from collections.abc import Iterable

from assistant.checking.said import sentences
from assistant.model import SIGNALS, Hazard, Note
from assistant.notes.hazards import message_of

__all__ = ["PARTS", "begins_with", "hazards_of", "message_line", "stronger", "words_of_steps"]

PARTS = 3
"""Hazard, consequence, and how to avoid it."""
_GAP = " ... "
_UNLESS = " unless "


def begins_with(text: str, hazard: Hazard) -> bool:
    """Tell whether a message begins with the sentences of a hazard, word for word."""
    return f"{text} ".startswith(f"{message_of(hazard)} ")


def hazards_of(note: Note, hazards: Iterable[Hazard]) -> list[Hazard | None]:
    """Return the hazard of each message: by its sentences, else by the key that stands in its place."""
    table = {hazard.key: hazard for hazard in hazards}
    in_place = note.hazards if len(note.hazards) == len(note.safety) else ("",) * len(note.safety)
    return [
        next((hazard for hazard in table.values() if begins_with(message.text, hazard)), table.get(key))
        for message, key in zip(note.safety, in_place, strict=True)
    ]


def stronger(signal: str, other: str) -> str:
    """Return the stronger of two signal words."""
    return min(signal, other, key=SIGNALS.index)


def message_line(hazard: Hazard, signal: str = "", text: str = "") -> str:
    """Return the line of a note that holds a hazard's message.

    What ``text``, an older message, said after its three sentences is kept, and so is a stronger ``signal``.
    """
    added = sentences(text)[PARTS:]
    word = stronger(signal, hazard.signal) if signal else hazard.signal
    return f"> **{word}** {' '.join((message_of(hazard), *added))}"


def words_of_steps(words: str) -> tuple[str, str]:
    """Return two patterns for the words of a hazard's ``before``: what a step says, and what it then does not say.

    ``...`` stands for any other words of the sentence; what comes after ``unless`` frees a step that says it.
    """
    said, _, unless = words.partition(_UNLESS)
    return _pattern(said), _pattern(unless) if unless else r"(?!)"


def _pattern(words: str) -> str:
    return r"[^.]*".join(rf"(?<![\w-]){re.escape(part)}(?![\w-])" for part in words.split(_GAP))
