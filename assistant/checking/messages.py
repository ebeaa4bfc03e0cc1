"""Which hazard of the table each safety message of a note is about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from assistant.checking.said import sentences
from assistant.languages import severity
from assistant.model import Hazard, Note
from assistant.notes.hazards import message_of

__all__ = [
    "PARTS",
    "begins_with",
    "hazards_of",
    "key_alone",
    "message_line",
    "stronger",
    "words_of_steps",
    "written_out",
]

PARTS = 3
"""Hazard, consequence, and how to avoid it."""
_GAP = " ... "
_UNLESS = " unless "
_OR = "/"
_KEY_ALONE = re.compile(r"> ?([a-z][a-z0-9]*(?:-[a-z0-9]+)*)\s*\Z")


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
    return min(signal, other, key=severity)


def message_line(hazard: Hazard, signal: str = "", text: str = "") -> str:
    """Return the line of a note that holds a hazard's message.

    What ``text``, an older message, said after its three sentences is kept, and so is a stronger ``signal``.
    """
    added = sentences(text)[PARTS:]
    word = stronger(signal, hazard.signal) if signal else hazard.signal
    return f"> **{word}** {' '.join((message_of(hazard), *added))}"


def key_alone(line: str) -> str:
    """Return the key that stands for its message on a line of a note; empty where none does.

    >>> key_alone("> cut-lead"), key_alone("> **WARNING** A cut lead can burn.")
    ('cut-lead', '')
    """
    key = _KEY_ALONE.match(line)
    return key[1] if key else ""


def written_out(text: str, table: Mapping[str, Hazard]) -> str:
    """Return the text of a note with the messages whose keys stand in their place, line for line."""
    lines = text.split("\n")
    return "\n".join(message_line(table[key]) if (key := key_alone(line)) in table else line for line in lines)


def words_of_steps(words: str) -> tuple[str, str]:
    """Return two patterns for the words of a hazard's ``before``: what a step says, and what frees it.

    ``...`` stands for any other words of the sentence; what comes after ``unless``, with ``/`` between several, frees
    a step that says it, or whose note has it in its title.
    """
    said, _, unless = words.partition(_UNLESS)
    return _pattern(said), "|".join(map(_pattern, unless.split(_OR))) if unless else r"(?!)"


def _pattern(words: str) -> str:
    return r"[^.]*".join(rf"(?<![\w-]){re.escape(part)}(?![\w-])" for part in words.split(_GAP))
