"""The turn of phrase of a question: its words and pairs of words, nothing dropped, and how long it is."""

from __future__ import annotations

from itertools import pairwise

from assistant.analysis.tokens import tokenize
from assistant.model import ABOUTS

__all__ = ["CUE_CLASSES", "NEW", "cues"]

NEW = "new"
"""Class of turns that leave the note in hand."""
CUE_CLASSES: tuple[str, ...] = (*ABOUTS, NEW)


def cues(text: str) -> list[str]:
    """Return words, neighbouring pairs joined by ``_``, and one token that tells the length."""
    words = tokenize(text)
    edged = ["<", *words, ">"]
    pairs = [f"{a}_{b}" for a, b in pairwise(edged)]
    length = next(
        name for limit, name in ((2, "#1"), (4, "#3"), (8, "#7"), (16, "#15"), (10**9, "#16")) if len(words) < limit
    )
    return [*words, *pairs, length]
