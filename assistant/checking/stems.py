"""What a text is about: the stems of its words, without those that say little."""

from __future__ import annotations

from functools import lru_cache

import Stemmer

from assistant.analysis.tokens import tokenize
from assistant.languages.english import LANGUAGE

__all__ = ["stems"]

_LITTLE = LANGUAGE.question_words | frozenset(
    """
    no not off on up down out over under one two three four five ten first second last next new old own every
    station stations fault faults still only already without within away back again left right side
    """.split()  # noqa: SIM905
)
_stem = Stemmer.Stemmer("english").stemWord


@lru_cache(maxsize=1 << 14)
def stems(text: str) -> frozenset[str]:
    """Return the stems of what a text is about.

    >>> sorted(stems("The leads of the station are cut."))
    ['cut', 'lead']
    """
    return frozenset(_stem(word) for word in tokenize(text) if word not in _LITTLE and not word.isdigit())
