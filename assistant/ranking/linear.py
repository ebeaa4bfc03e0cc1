"""Points of a linear model: stored whole-number weights times the sublinear TF-IDF of a text's features.

Words with their pairs are one side of a text, runs of letters the other, each a vector of length 1. Everything is in
thousandths and whole numbers, so that the points are the same to the last one in any language.

A long row is also one whole number with a lane of 64 bits a class: to weigh and to add such rows takes one step of the
machine for many classes, and the sums are the same. So is a word with all of its runs of letters, as if each stood once
in a text; what those that stand there more often bring otherwise is added.

Source
------
Lamport, Multiple byte processing with full-word instructions, CACM 18(8), 1975 (from memory).
"""

from __future__ import annotations

import math
import sys
from array import array
from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import chain
from operator import add

from assistant.analysis.features import grams, word_features
from assistant.values import NamedTuple

__all__ = [
    "UNIT",
    "FeatureRow",
    "Side",
    "WordRow",
    "linear_points",
    "quotient",
    "runs_needed",
    "sides_of",
    "word_points",
]

UNIT = 1000
"""Points, weights, idf and factors are in thousandths."""
_LANE = 8
"""Bytes of a lane: the sum of thirty million features of the highest idf, count and weight fits."""
_AT_ONCE, _LEAST = 16, 64
"""How many lanes are added up while one class is, and how many more while a row is begun; the sums are the same."""
_HALF = 1 << (8 * _LANE - 1)
_ROW, _RUN = 300, 80
"""Bytes of a row besides its classes, and of a run of letters."""
_FACTORS = (0, *(round(UNIT * (1 + math.log(count))) for count in range(1, 65)))


class FeatureRow:
    """What is stored of a feature: its idf, and a weight for every class that it tells for or against.

    Parameters
    ----------
    idf
        In thousandths, from 0 to 2**20.
    classes
        Numbers of the classes, rising; one may be -1.
    weights
        Of each class, of 16 bits.
    """

    __slots__ = ("_lanes", "classes", "idf", "weights")

    def __init__(self, idf: int, classes: Sequence[int] = (), weights: Sequence[int] = ()) -> None:
        self.idf = idf
        self.classes = classes
        self.weights = weights
        self._lanes: int | None = None

    @classmethod
    def of(cls, idf: int, pairs: Iterable[tuple[int, int]]) -> FeatureRow:
        """Return the row of (class, weight) pairs, in any order."""
        listed = sorted(pairs)
        return cls(idf, [number for number, _ in listed], [weight for _, weight in listed])

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FeatureRow) and (self.idf, self.pairs()) == (other.idf, other.pairs())

    __hash__ = None  # type: ignore[assignment]

    def pairs(self) -> list[tuple[int, int]]:
        """Return (class, weight) of every class."""
        return list(zip(self.classes, self.weights, strict=True))

    def weight(self, number: int) -> int:
        """Return the weight for a class."""
        classes = self.classes
        place = bisect_left(classes, number)
        return self.weights[place] if place < len(classes) and classes[place] == number else 0

    def lanes(self, size: int) -> int:
        """Return the weights in one number, each in the lane of its class; class -1 has the last of ``size`` lanes."""
        if self._lanes is None:
            content = bytearray(_LANE * size)
            held = memoryview(content).cast("q")  # sooner set than an array
            for number, weight in zip(self.classes, self.weights, strict=True):
                held[number] = weight
            self._lanes = _lanes_of(content)
        return self._lanes

    def room(self, size: int) -> int:
        """Return how many bytes the row takes in memory, once it was used among ``size`` classes."""
        return _ROW + 4 * len(self.classes) + (_LANE * size if len(self.classes) > _longest(size) else 0)


def _longest(size: int) -> int:
    """Return how many classes of ``size`` are added up one by one sooner than all lanes are."""
    return (size + _LEAST) // _AT_ONCE


class WordRow:
    """A word with its runs of letters, weighed as if each stood once in a text.

    Parameters
    ----------
    word
        One token.
    rows
        The rows of all its runs that a model knows.
    size
        How many classes there are.
    """

    __slots__ = ("lanes", "runs", "size", "squares")

    def __init__(self, word: str, rows: Mapping[str, FeatureRow], size: int) -> None:
        values = [(run, rows[run].idf) for run in grams(word) if run in rows]
        self.runs = tuple(run for run, _ in values)
        self.squares = sum(idf * idf for _, idf in values)
        self.size = size
        content = bytearray(_LANE * size)
        lanes = _add(values, rows, memoryview(content).cast("q"))
        self.lanes = lanes + _lanes_of(content)

    def weight(self, number: int) -> int:
        """Return the sum of idf times weight for a class."""
        place = 8 * _LANE * (number % self.size)
        return ((self.lanes + _halves(self.size)) >> place) % (2 * _HALF) - _HALF

    @property
    def room(self) -> int:
        """Bytes that it takes in memory."""
        return _ROW + _LANE * self.size + _RUN * len(self.runs)


class Side(NamedTuple):
    """One side of a text: each feature with its value, and the length of the vector of all of them.

    Where words are weighed as a whole, ``lanes`` is their sum, ``held`` how many features they have, and ``values``
    what those that stand more than once bring beyond it.
    """

    values: tuple[tuple[str, int], ...]
    length: int
    lanes: int = 0
    held: int = 0

    @property
    def empty(self) -> bool:
        """Whether no feature has a row."""
        return not (self.values or self.held)


def quotient(part: int, whole: int) -> int:
    """Return ``part / whole`` rounded towards zero, as most languages divide; ``whole`` is above 0."""
    return part // whole if part >= 0 else -(-part // whole)


def runs_needed(words: Sequence[str], weighed: Mapping[str, WordRow] | None) -> dict[str, int]:
    """Return the runs of letters of which rows are needed, each with how often it stands there.

    Where words are weighed, those that stand there twice or more often.
    """
    if weighed is None:
        return Counter(gram for word in words for gram in grams(word))
    counts = Counter(chain.from_iterable([weighed[word].runs for word in words]))
    return {run: count for run, count in counts.items() if count > 1}


def sides_of(
    words: Sequence[str],
    rows: Mapping[str, FeatureRow],
    weighed: Mapping[str, WordRow] | None = None,
    needed: Mapping[str, int] | None = None,
) -> tuple[Side, Side]:
    """Return the sides of a text of which ``words`` are the tokens; features without a row count for nothing.

    Parameters
    ----------
    weighed
        The rows of all ``words``; of runs of letters ``rows`` then holds at least those that stand in them twice.
    needed
        What `runs_needed` returned of the words; found out where it is left out.
    """
    found = _side(Counter(word_features(words)), rows)
    if needed is None:
        needed = runs_needed(words, weighed)
    return found, _side(needed, rows) if weighed is None else _joined([weighed[word] for word in words], needed, rows)


def _side(counts: Mapping[str, int], rows: Mapping[str, FeatureRow]) -> Side:
    values: list[tuple[str, int]] = []
    squares = 0
    for feature, count in counts.items():
        row = rows.get(feature)
        if row is not None:
            value = _value(row.idf, count)
            values.append((feature, value))
            squares += value * value
    return Side(tuple(values), math.isqrt(squares) or 1)


def _value(idf: int, count: int) -> int:
    return idf if count == 1 else idf * _FACTORS[min(count, len(_FACTORS) - 1)] // UNIT


def _joined(words: Sequence[WordRow], counts: Mapping[str, int], rows: Mapping[str, FeatureRow]) -> Side:
    lanes = squares = held = 0
    for word in words:
        lanes += word.lanes
        squares += word.squares
        held += len(word.runs)
    values: list[tuple[str, int]] = []
    for feature, count in counts.items():
        idf = rows[feature].idf
        value = _value(idf, count)
        values.append((feature, value - count * idf))
        squares += value * value - count * idf * idf
    return Side(tuple(values), math.isqrt(squares) or 1, lanes, held)


def linear_points(
    sides: Iterable[Side],
    rows: Mapping[str, FeatureRow],
    bias: Mapping[int, int],
    classes: Collection[int] | None = None,
) -> dict[int, int]:
    """Return the points of every class in thousandths: its bias, and what each side brings.

    Weights of a class that has no bias are not to stand in ``rows``; classes are numbered from 0, one may be -1.

    Parameters
    ----------
    classes
        The classes that are asked for, of those that have a bias; all where it is left out.
    """
    points = dict(bias) if classes is None else {number: bias[number] for number in classes if number in bias}
    size = max(bias, default=-1) + 2
    for side in sides:
        sums = [0] * size
        held = _sums_of(_add(side.values, rows, sums) + side.lanes, size)
        length = side.length
        if classes is None:
            shares = [part // length if part >= 0 else -(-part // length) for part in map(add, sums, held)]
            points = {number: before + shares[number] for number, before in points.items()}
        else:
            points = {n: before + quotient(sums[n] + held[n], length) for n, before in points.items()}
    return points


def _add(values: Iterable[tuple[str, int]], rows: Mapping[str, FeatureRow], sums: list[int] | memoryview[int]) -> int:
    """Add value times weight of every class: of short rows to ``sums``, and of long ones to lanes, which are returned.

    The class of number -1 stands last.
    """
    lanes, size = 0, len(sums)
    longest = _longest(size)
    for feature, value in values:
        row = rows[feature]
        if len(row.classes) > longest:
            lanes += value * row.lanes(size)
        else:
            for number, weight in zip(row.classes, row.weights, strict=True):
                sums[number] += value * weight
    return lanes


def _sums_of(lanes: int, size: int) -> Sequence[int]:
    """Return what stands in each lane."""
    halves = _halves(size)
    return array("q", ((lanes + halves) ^ halves).to_bytes(_LANE * size, sys.byteorder))


def _lanes_of(content: bytearray) -> int:
    """Return one number with each signed value of 64 bits in its lane."""
    halves = _halves(len(content) // _LANE)
    return (int.from_bytes(content, sys.byteorder) ^ halves) - halves


@lru_cache(maxsize=4)
def _halves(size: int) -> int:
    """Return half of what a lane holds in each lane: with it no lane is below 0, and its highest bit tells the sign."""
    return int.from_bytes(_HALF.to_bytes(_LANE, sys.byteorder) * size, sys.byteorder)


def word_points(
    words: Sequence[str],
    sides: Sequence[Side],
    rows: Mapping[str, FeatureRow],
    number: int,
    weighed: Mapping[str, WordRow] | None = None,
) -> list[tuple[str, int]]:
    """Return (word or pair, points) for one class; they add up, with its bias, to its `linear_points` exactly.

    Runs of letters are added up to the words in which they stand: what one brings is shared evenly among its places.
    ``weighed`` is what `sides_of` was given.
    """
    brought: dict[str, int] = {}
    found, runs = sides
    shares = (
        _run_shares(words, runs, rows, number)
        if weighed is None
        else _joined_shares(words, runs, rows, number, weighed)
    )
    for side, shared in (
        (found, {feature: value * rows[feature].weight(number) for feature, value in found.values}),
        (runs, shares),
    ):
        before = 0
        for word, share in shared.items():
            points = quotient(before + share, side.length) - quotient(before, side.length)
            brought[word] = brought.get(word, 0) + points
            before += share
    return list(brought.items())


def _run_shares(words: Sequence[str], side: Side, rows: Mapping[str, FeatureRow], number: int) -> dict[str, int]:
    """Return what the runs of letters of each word bring a class."""
    owners: dict[str, list[str]] = {}
    for word in words:
        for gram in grams(word):
            owners.setdefault(gram, []).append(word)
    shares: dict[str, int] = {}
    for feature, value in side.values:
        total = value * rows[feature].weight(number)
        places = owners[feature]
        for place, word in enumerate(places):
            shares[word] = shares.get(word, 0) + _part(total, place, len(places))
    return shares


def _joined_shares(
    words: Sequence[str], side: Side, rows: Mapping[str, FeatureRow], number: int, weighed: Mapping[str, WordRow]
) -> dict[str, int]:
    """Return what `_run_shares` does, in the same order; a word that brings nothing may stand there too."""
    places: dict[str, list[str]] = {feature: [] for feature, _ in side.values}
    shared = [[run for run in weighed[word].runs if run in places] for word in words]
    for word, runs in zip(words, shared, strict=True):
        for run in runs:
            places[run].append(word)
    shares: dict[str, int] = {}
    told: set[str] = set()
    for word, runs in zip(words, shared, strict=True):
        shares[word] = shares.get(word, 0) + weighed[word].weight(number)
        for run in runs:
            if run not in told:
                told.add(run)
                for other in places[run]:
                    shares.setdefault(other, 0)
    for feature, beyond in side.values:
        row, owners = rows[feature], places[feature]
        weight = row.weight(number)
        if not weight:
            continue
        once = row.idf * weight
        total = beyond * weight + once * len(owners)
        for place, word in enumerate(owners):
            shares[word] += _part(total, place, len(owners)) - once
    return shares


def _part(total: int, place: int, count: int) -> int:
    """Return part number ``place`` of ``total`` cut into ``count`` nearly even whole numbers."""
    return total * (place + 1) // count - total * place // count
