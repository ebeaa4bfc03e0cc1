"""What a linear model reads in a text: words, pairs of neighbours, and runs of letters inside words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from assistant.analysis.tokens import tokenize
from assistant.languages import Language, language_of

__all__ = ["features", "grams", "sentences", "word_features"]

GRAM = "~"
"""Stands before a run of letters, so that it is no word."""
_SHORTEST, _LONGEST = 2, 5
_BORDER = r"(?<=[.!?;])\s+|\s+(?:{})\s+"
_LEAST_WORDS = 2


def word_features(words: Sequence[str]) -> list[str]:
    """Return the words, then each two neighbours with a blank between them."""
    return [*words, *(f"{left} {right}" for left, right in pairwise(words))]


def grams(word: str) -> list[str]:
    """Return the runs of 2 to 5 letters of a word with a blank before and after it, the whole where it is shorter."""
    edged = f" {word} "
    return [
        f"{GRAM}{edged[start : start + length]}"
        for length in range(_SHORTEST, min(_LONGEST, len(edged)) + 1)
        for start in range(len(edged) - length + 1)
    ]


def features(text: str, language: Language | None = None) -> list[str]:
    """Return all features of a text, each as often as it stands there."""
    words = tokenize(text, language)
    return [*word_features(words), *(gram for word in words for gram in grams(word))]


def sentences(text: str, language: Language | None = None) -> list[str]:
    """Return the sentences of a story, each of two words or more; a shorter one goes with the next one.

    The last goes with the one before. Nothing of the text is left out but the words that part sentences.
    """
    parts: list[str] = []
    held = ""
    border = _BORDER.format((language or language_of()).parting)
    for part in re.split(border, text, flags=re.IGNORECASE):
        held = f"{held} {part}".strip()
        if len(held.split()) >= _LEAST_WORDS:
            parts.append(held)
            held = ""
    if held and parts:
        parts[-1] = f"{parts[-1]} {held}"
    return parts if len(parts) > 1 else [text]
