"""Points of a linear model: stored whole-number weights times the sublinear TF-IDF of a text's features.

Words with their pairs are one side of a text, runs of letters the other, each a vector of length 1. Everything is in
thousandths and whole numbers, so that the points are the same to the last one in any language.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from assistant.analysis.features import grams, word_features

__all__ = ["UNIT", "FeatureRow", "Side", "linear_points", "quotient", "sides_of", "word_points"]

UNIT = 1000
"""Points, weights, idf and factors are in thousandths."""
_FACTORS = (0, *(round(UNIT * (1 + math.log(count))) for count in range(1, 65)))


class FeatureRow(NamedTuple):
    """What is stored of a feature: its idf, and (class, weight) of every class that it tells for or against."""

    idf: int
    weights: Sequence[tuple[int, int]]


class Side(NamedTuple):
    """One side of a text: each feature with its value, and the length of the vector of all of them."""

    values: tuple[tuple[str, int], ...]
    length: int


def quotient(part: int, whole: int) -> int:
    """Return ``part / whole`` rounded towards zero, as most languages divide; ``whole`` is above 0."""
    return part // whole if part >= 0 else -(-part // whole)


def sides_of(words: Sequence[str], rows: Mapping[str, FeatureRow]) -> tuple[Side, Side]:
    """Return the sides of a text of which ``words`` are the tokens; features without a row count for nothing."""
    return (
        _side(word_features(words), rows),
        _side((gram for word in words for gram in grams(word)), rows),
    )


def _side(found: Iterable[str], rows: Mapping[str, FeatureRow]) -> Side:
    counts = Counter(feature for feature in found if feature in rows)
    values = tuple(
        (feature, rows[feature].idf * _FACTORS[min(count, len(_FACTORS) - 1)] // UNIT)
        for feature, count in counts.items()
    )
    return Side(values, math.isqrt(sum(value * value for _, value in values)) or 1)


def linear_points(sides: Iterable[Side], rows: Mapping[str, FeatureRow], bias: Mapping[int, int]) -> dict[int, int]:
    """Return the points of every class in thousandths: its bias, and what each side brings.

    Weights of a class that has no bias are not to stand in ``rows``; classes are numbered from 0, one may be -1.
    """
    points = dict(bias)
    size = max(points, default=-1) + 2
    for side in sides:
        sums = [0] * size  # the class of number -1 stands last
        for feature, value in side.values:
            for number, weight in rows[feature].weights:
                sums[number] += value * weight
        for number in points:
            points[number] += quotient(sums[number], side.length)
    return points


def word_points(
    words: Sequence[str], sides: Sequence[Side], rows: Mapping[str, FeatureRow], number: int
) -> list[tuple[str, int]]:
    """Return (word or pair, points) for one class; they add up, with its bias, to its `linear_points` exactly.

    Runs of letters are added up to the words in which they stand: what one brings is shared evenly among its places.
    """
    brought: dict[str, int] = {}
    for side, owners in zip(sides, (None, _owners(words)), strict=True):
        shares: dict[str, int] = {}
        for feature, value in side.values:
            weight = next((weight for other, weight in rows[feature].weights if other == number), 0)
            places = owners[feature] if owners else [feature]
            for place, word in enumerate(places):
                share = _part(value * weight, place, len(places))
                shares[word] = shares.get(word, 0) + share
        before = 0
        for word, share in shares.items():
            points = quotient(before + share, side.length) - quotient(before, side.length)
            brought[word] = brought.get(word, 0) + points
            before += share
    return list(brought.items())


def _part(total: int, place: int, count: int) -> int:
    """Return part number ``place`` of ``total`` cut into ``count`` nearly even whole numbers."""
    return total * (place + 1) // count - total * place // count


def _owners(words: Sequence[str]) -> dict[str, list[str]]:
    owners: dict[str, list[str]] = {}
    for word in words:
        for gram in grams(word):
            owners.setdefault(gram, []).append(word)
    return owners
