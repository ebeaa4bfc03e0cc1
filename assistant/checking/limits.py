"""Figures that lie beyond what the trade's words say of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache, partial

from assistant.checking.rule import Book, Finding
from assistant.checking.said import EVERYTHING, clip, figures, find_said, has
from assistant.checking.trade_words import Limit, words_of

__all__ = ["beyond"]


def beyond(code: str) -> Callable[[Book], Iterator[Finding]]:
    """Return what finds every sentence with a figure beyond the limits that the trade has under this code."""
    return partial(_find, code=code)


def _find(book: Book, *, code: str) -> Iterator[Finding]:
    limits = words_of(book).limits.get(code, ())
    if limits:
        yield from find_said(
            book,
            EVERYTHING,
            lambda text: _is_wrong(text, limits),
            lambda text: f"a figure outside the published limit: {clip(text)}",
        )


@lru_cache(maxsize=1 << 15)
def _is_wrong(text: str, limits: tuple[Limit, ...]) -> bool:
    return any(_breaks(text, limit) for limit in limits)


def _breaks(text: str, limit: Limit) -> bool:
    """Tell whether a sentence says what a limit forbids."""
    if not has(text, limit.where) or has(text, limit.unless):
        return False
    if limit.never:
        return has(text, limit.never)
    return any(
        number not in limit.one_of and not any(low <= number <= high for low, high in limit.within)
        for number in figures(text, limit.unit)
    )
