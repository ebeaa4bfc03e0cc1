"""How easily steps are read: words a step, and the reading ease of Flesch (1948)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from statistics import median
from typing import NamedTuple

from assistant.checking.said import sentences
from assistant.model import Note

__all__ = ["Ease", "Readability", "ease_of", "readability"]

_WORD = re.compile(r"[^\W_]+(?:['-][^\W_]+)*")


class Ease(NamedTuple):
    """Median words a step and reading ease of some steps; ``note`` is empty for those of all notes."""

    note: str
    steps: int
    words: float
    ease: float


class Readability(NamedTuple):
    """The steps of all notes together, and each note, the hardest to read first."""

    together: Ease
    notes: tuple[Ease, ...]


def readability(notes: Iterable[Note]) -> Readability:
    """Return how easily the steps of the notes are read."""
    notes = tuple(notes)
    each = sorted((_ease(note.id, note) for note in notes), key=lambda one: (one.ease, one.note))
    return Readability(_ease("", *notes), tuple(each))


def _ease(name: str, *notes: Note) -> Ease:
    texts = [step.text for note in notes for step in note.steps]
    return Ease(name, len(texts), median(len(_WORD.findall(text)) for text in texts), ease_of(texts))


def ease_of(texts: Sequence[str]) -> float:
    """Return the Flesch reading ease of the texts: 60 and more is plain English, below 50 is difficult."""
    import syllapy

    said = [sentence for text in texts for sentence in sentences(text)]
    words = [word for sentence in said for word in _WORD.findall(sentence)]
    if not words:
        return 0.0
    syllables = sum(max(1, syllapy.count(word)) for word in words)
    return float(206.835 - 1.015 * len(words) / len(said) - 84.6 * syllables / len(words))
