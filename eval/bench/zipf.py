"""Made-up documents of a collection: 60 words each out of 60,000, common ones more often, as in text."""

from __future__ import annotations

from itertools import accumulate, product
from random import Random

__all__ = ["documents", "terms_of"]

WORDS, LONG, TERMS = 60_000, 60, 5
_HEAD = 20
"""The law of the ranks begins so far down, as in text without its question words."""


def documents(count: int) -> list[str]:
    """Return so many texts, the same ones for the same count."""
    drawn = Random(count)  # noqa: S311
    syllables = [a + b for a, b in product("bdfgklmnprtvz", "aiou")]
    words = ["".join(parts) + "k" for parts in product(syllables, repeat=3)][:WORDS]
    Random(0).shuffle(words)  # noqa: S311
    reach = list(accumulate(1 / (rank + _HEAD) for rank in range(len(words))))
    return [" ".join(drawn.choices(words, cum_weights=reach, k=LONG)) for _ in range(count)]


def terms_of(texts: list[str], count: int) -> list[str]:
    """Return so many questions, each five different words of one of the texts."""
    drawn = Random(1)  # noqa: S311
    return [" ".join(drawn.sample(sorted(set(drawn.choice(texts).split())), TERMS)) for _ in range(count)]
