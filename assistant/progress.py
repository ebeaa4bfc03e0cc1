"""Telling how far long work has come."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from assistant.values import Protocol

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TypeVar

    T = TypeVar("T")

__all__ = ["Progress", "counted", "silent"]


class Progress(Protocol):
    """Is told what is being done; with a ``total``, how much of it is done."""

    def __call__(self, message: str, done: int = 0, total: int = 0, /) -> None:
        """Tell it."""


def silent(_message: str, _done: int = 0, _total: int = 0, /) -> None:
    """Tell nobody."""


def counted(items: Sequence[T], progress: Progress, message: str) -> Iterator[T]:
    """Yield the items; tell before each how many are done, and at the end that all are."""
    for done, item in enumerate(items):
        progress(message, done, len(items))
        yield item
    if items:
        progress(message, len(items), len(items))
