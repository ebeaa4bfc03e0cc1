"""BM25F: term frequencies weighted by field and length before one saturation."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Bm25fSettings", "Bm25fStatistics", "Posting", "bm25f_postings", "bm25f_statistics", "bm25f_weights", "idf"]


@dataclass(frozen=True, slots=True)
class Bm25fSettings:
    """k1, and for each field its weight and its length normalisation b (0 to 1)."""

    k1: float
    weight: Mapping[str, float]
    b: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Bm25fStatistics:
    """Of all chunks: how many, the mean length of each field in terms, and in how many each term stands."""

    count: int
    average: Mapping[str, float]
    frequency: Mapping[str, int]


@dataclass(frozen=True, slots=True)
class Posting:
    """What one term is worth in one chunk, and the field that brought most of it."""

    chunk: int
    weight: float
    field: str


def idf(documents: int, frequency: int) -> float:
    """Return ln(1 + (N - n + 0.5) / (n + 0.5)), which is above 0 for every n.

    Source
    ------
    Robertson and Zaragoza, The Probabilistic Relevance Framework, 2009, eq. 3.3, with the 1 added inside the
    logarithm as Lucene does (from memory).
    """
    return math.log(1 + (documents - frequency + 0.5) / (frequency + 0.5))


def bm25f_statistics(chunks: Sequence[Mapping[str, Sequence[str]]], settings: Bm25fSettings) -> Bm25fStatistics:
    """Count what the weights of every chunk hang on; a mean length of 0 counts as 1."""
    average = {
        name: (sum(len(chunk.get(name, ())) for chunk in chunks) / len(chunks) if chunks else 0) or 1
        for name in settings.weight
    }
    frequency = Counter(
        term for chunk in chunks for term in {t for name in settings.weight for t in chunk.get(name, ())}
    )
    return Bm25fStatistics(len(chunks), average, frequency)


def bm25f_postings(
    chunks: Sequence[Mapping[str, Sequence[str]]], settings: Bm25fSettings, statistics: Bm25fStatistics | None = None
) -> dict[str, list[Posting]]:
    """Weigh every term of every chunk.

    Parameters
    ----------
    chunks
        For each chunk: field name -> terms in order. A field that a chunk lacks counts as empty.
    statistics
        Those of the whole, where ``chunks`` are a part of it; a term that the whole lacks counts as if in one chunk.

    Returns
    -------
    dict
        Term -> postings by rising chunk number. A chunk's score for a question is the sum over the question's terms.

    Source
    ------
    Robertson, Zaragoza and Taylor, Simple BM25 extension to multiple weighted fields, CIKM 2004.
    """
    postings: dict[str, list[Posting]] = {}
    for term, posting in bm25f_weights(chunks, settings, statistics or bm25f_statistics(chunks, settings)):
        postings.setdefault(term, []).append(Posting(*posting))
    return postings


def bm25f_weights(
    chunks: Iterable[Mapping[str, Sequence[str]]], settings: Bm25fSettings, statistics: Bm25fStatistics
) -> Iterator[tuple[str, tuple[int, float, str]]]:
    """Yield each term of every chunk, by rising chunk number, with what `bm25f_postings` holds of it."""
    idfs: dict[str, float] = {}
    k1 = settings.k1
    for number, chunk in enumerate(chunks):
        shares: dict[str, dict[str, float]] = {}
        for name, weight in settings.weight.items():
            words = chunk.get(name, ())
            b = settings.b[name]
            norm = 1 - b + b * len(words) / statistics.average[name]
            for term, count in Counter(words).items():
                shares.setdefault(term, {})[name] = weight * count / norm
        for term, by_field in shares.items():
            tf = sum(by_field.values())
            if tf <= 0:
                continue
            rarity = idfs.get(term)
            if rarity is None:
                rarity = idfs[term] = idf(statistics.count, statistics.frequency.get(term, 1))
            strongest = next(iter(by_field)) if len(by_field) == 1 else max(sorted(by_field), key=by_field.__getitem__)
            yield term, (number, rarity * tf * (k1 + 1) / (tf + k1), strongest)
