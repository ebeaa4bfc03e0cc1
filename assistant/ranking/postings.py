"""Postings of a term as arrays: the chunks that hold it, what it is worth in each, and the field that brought most.

A long list is cut into parts of equal length, each with the highest weight in it, so that a reader may leave out the
parts that cannot matter.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence

__all__ = ["PART", "RUN", "Part", "TermRow"]

PART = 4096
"""Postings of a part; the last one of a list may hold fewer."""
RUN = 128
"""Postings of a part that have one upper bound together."""
_POSTING, _EMPTY = 7, 500
"""Bytes of a posting, and of a part without any."""


class Part:
    """Postings by rising chunk number, as three arrays of one length: chunks, weights below 65,536, field numbers."""

    __slots__ = ("_tops", "chunks", "fields", "weights")

    def __init__(self, chunks: array[int], weights: array[int], fields: bytes) -> None:
        self.chunks = chunks
        self.weights = weights
        self.fields = fields
        self._tops: list[int] | None = None

    @property
    def tops(self) -> Sequence[int]:
        """The highest weight of each run."""
        if self._tops is None:
            self._tops = [max(self.weights[at : at + RUN]) for at in range(0, len(self.weights), RUN)]
        return self._tops

    @property
    def room(self) -> int:
        """Bytes that it takes in memory."""
        return len(self.chunks) * _POSTING + _EMPTY


class TermRow:
    """All postings of a term, read part by part.

    Parameters
    ----------
    count
        How many postings there are.
    first
        The first chunk of each part.
    tops
        The highest weight of each part.
    read
        Returns the part of a number.
    """

    __slots__ = ("count", "first", "read", "top", "tops")

    def __init__(self, count: int, first: Sequence[int], tops: Sequence[int], read: Callable[[int], Part]) -> None:
        self.count = count
        self.first = first
        self.tops = tops
        self.read = read
        self.top = max(tops, default=0)
        """The highest weight of all."""

    @classmethod
    def of(cls, postings: Iterable[tuple[int, int, int]]) -> TermRow:
        """Return the row of (chunk, weight, field number) postings, in any order."""
        listed = sorted(postings)
        chunks, weights, fields = (
            array("I", [posting[0] for posting in listed]),
            array("H", [posting[1] for posting in listed]),
            bytes(posting[2] for posting in listed),
        )
        cuts = range(0, len(listed), PART)
        parts = [Part(chunks[at : at + PART], weights[at : at + PART], fields[at : at + PART]) for at in cuts]
        return cls(
            len(listed), [part.chunks[0] for part in parts], [max(part.tops) for part in parts], parts.__getitem__
        )

    def parts(self) -> Iterator[Part]:
        """Yield all parts in order."""
        return map(self.read, range(len(self.first)))

    def at(self, chunk: int) -> tuple[int, int] | None:
        """Return (weight, field number) of a chunk, None where it does not hold the term."""
        number = bisect_right(self.first, chunk) - 1
        if number < 0:
            return None
        part = self.read(number)
        place = bisect_left(part.chunks, chunk)
        if place == len(part.chunks) or part.chunks[place] != chunk:
            return None
        return part.weights[place], part.fields[place]

    @property
    def chunks(self) -> list[tuple[int, int, int]]:
        """(chunk, weight, field number) of every chunk that holds the term."""
        return [
            posting for part in self.parts() for posting in zip(part.chunks, part.weights, part.fields, strict=True)
        ]
