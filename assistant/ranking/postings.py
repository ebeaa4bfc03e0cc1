"""Postings of a term as arrays: the chunks that hold it, what it is worth in each, and the field that brought most.

A long list is cut into parts of equal length, each with the highest weight in it, so that a reader may leave out the
parts that cannot matter.
"""

from __future__ import annotations

import sys
from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import compress

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Final

__all__ = ["FEW", "FULL", "LANE", "LANE_BYTES", "PART", "RUN", "Part", "TermRow"]

FULL = 100
"""Weights of a question's terms are in percent of this."""
LANE: Final = "I"
LANE_BYTES = 4
"""Of one number for many chunks each has so many bits: the sums of 65,537 terms fit."""

PART = 4096
"""Postings of a part; the last one of a list may hold fewer."""
RUN = 128
"""Postings of a part that have one upper bound together."""
FEW = 4096
"""Of up to so many chunks the sums of all are added up: the first alone are not found sooner."""
_AT_ONCE = 16
"""How many lanes are added up while one posting is."""
_POSTING, _EMPTY, _PLACE = 7, 500, 6
"""Bytes of a posting, of a part without any, and of the place of one."""
_PERCENTS = 2
"""In so many different percents a term is asked for, now and then."""


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

    def heavy(self, least: int) -> Iterator[tuple[Iterable[int], Iterable[int]]]:
        """Yield chunks and weights of the postings that weigh ``least`` or more."""
        chunks, weights = self.chunks, self.weights
        tops = self.tops
        if least <= 0:
            yield chunks, weights
            return
        for run, top in enumerate(tops):
            if top >= least:
                at = run * RUN
                some = weights[at : at + RUN]
                kept = [*map(least.__le__, some)]
                yield compress(chunks[at : at + RUN], kept), compress(some, kept)

    def below(self, end: int) -> bool:
        """Tell whether all chunk numbers are below ``end``."""
        if end < 1 << 24:
            content = self.chunks.tobytes()
            low = [content[place::4] for place in ((3, 2) if sys.byteorder == "little" else (0, 1))]
            upper = (end - 1) >> 16
            if low[0] == bytes(len(low[0])) and upper not in low[1]:
                return not low[1].translate(None, bytes(range(upper)))  # sooner than to look at whole numbers
        return max(self.chunks, default=-1) < end

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
        Returns the parts of some numbers, in their order.
    """

    __slots__ = ("_lanes", "count", "first", "read", "top", "tops")

    def __init__(
        self, count: int, first: Sequence[int], tops: Sequence[int], read: Callable[[Sequence[int]], Sequence[Part]]
    ) -> None:
        self.count = count
        self.first = first
        self.tops = tops
        self.read = read
        self._lanes: dict[int, int] = {}
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
        first, tops = [part.chunks[0] for part in parts], [max(part.tops) for part in parts]
        return cls(len(listed), first, tops, lambda numbers: [parts[number] for number in numbers])

    def parts(self) -> Iterator[Part]:
        """Yield all parts in order."""
        return iter(self.read(range(len(self.first))))

    def at(self, chunk: int) -> tuple[int, int] | None:
        """Return (weight, field number) of a chunk, None where it does not hold the term."""
        number = bisect_right(self.first, chunk) - 1
        if number < 0:
            return None
        (part,) = self.read((number,))
        place = bisect_left(part.chunks, chunk)
        if place == len(part.chunks) or part.chunks[place] != chunk:
            return None
        return part.weights[place], part.fields[place]

    def is_long(self, size: int) -> bool:
        """Tell whether lanes of ``size`` chunks are added up sooner than its postings one by one."""
        return self.count > size // _AT_ONCE

    def room(self, size: int) -> int:
        """Return how many bytes the row takes in memory, once it was used among ``size`` chunks."""
        lanes = _PERCENTS * LANE_BYTES * size if size <= FEW and self.is_long(size) else 0
        return _EMPTY + lanes + (_PLACE * len(self.first) if len(self.first) > 1 else _POSTING * self.count)

    def lanes(self, percent: int, size: int) -> int:
        """Return so many percent of all weights in one number, each in the lane of its chunk, of ``size`` in all."""
        if percent not in self._lanes:
            content = bytearray(LANE_BYTES * size)
            sums = memoryview(content).cast(LANE)
            for part in self.parts():
                for chunk, weight in zip(part.chunks, part.weights, strict=True):
                    sums[chunk] = weight * percent // FULL
            self._lanes[percent] = int.from_bytes(content, sys.byteorder)
        return self._lanes[percent]

    @property
    def chunks(self) -> list[tuple[int, int, int]]:
        """(chunk, weight, field number) of every chunk that holds the term."""
        return [
            posting for part in self.parts() for posting in zip(part.chunks, part.weights, part.fields, strict=True)
        ]
