"""What was made of a file is kept until its text is another: a folder that is read again has mostly what it had."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

__all__ = ["Kept"]

V = TypeVar("V")


class Kept(Generic[V]):
    """A function of the text and the name of a file that remembers the last result for each name.

    However many files a folder has, none drives out another. Names are paths below a folder: where two folders are
    read in turn, what differs between them is made anew, and nothing else.

    Parameters
    ----------
    make
        Makes the value; where it raises, nothing is kept.
    """

    def __init__(self, make: Callable[..., V]) -> None:
        self._make = make
        self._held: dict[str, tuple[tuple[str, ...], V]] = {}

    def __call__(self, text: str, shown: str, *more: str) -> V:
        """Return what is made of ``text``, the text of the file that messages call ``shown``, and of ``more``."""
        held = self._held.get(shown)
        if held is None or held[0] != (text, *more):
            held = self._held[shown] = (text, *more), self._make(text, shown, *more)
        return held[1]
