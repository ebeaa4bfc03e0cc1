"""BM25F: term frequencies weighted by field and length before one saturation."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

__all__ = ["Bm25fSettings", "Posting", "bm25f_postings", "idf"]


@dataclass(frozen=True, slots=True)
class Bm25fSettings:
    """k1, and for each field its weight and its length normalisation b (0 to 1)."""

    k1: float
    weight: Mapping[str, float]
    b: Mapping[str, float]


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


def bm25f_postings(chunks: Sequence[Mapping[str, Sequence[str]]], settings: Bm25fSettings) -> dict[str, list[Posting]]:
    """Weigh every term of every chunk.

    Parameters
    ----------
    chunks
        For each chunk: field name -> terms in order. A field that a chunk lacks counts as empty.

    Returns
    -------
    dict
        Term -> postings by rising chunk number. A chunk's score for a question is the sum over the question's terms.

    Source
    ------
    Robertson, Zaragoza and Taylor, Simple BM25 extension to multiple weighted fields, CIKM 2004.
    """
    lengths = {name: [len(chunk.get(name, ())) for chunk in chunks] for name in settings.weight}
    average = {name: (sum(values) / len(values) if values else 0) or 1 for name, values in lengths.items()}
    frequency: Counter[str] = Counter()
    weighted: list[dict[str, dict[str, float]]] = []
    for number, chunk in enumerate(chunks):
        shares: dict[str, dict[str, float]] = {}
        for name, weight in settings.weight.items():
            b = settings.b[name]
            norm = 1 - b + b * lengths[name][number] / average[name]
            for term, count in Counter(chunk.get(name, ())).items():
                shares.setdefault(term, {})[name] = weight * count / norm
        frequency.update(shares.keys())
        weighted.append(shares)
    postings: dict[str, list[Posting]] = {}
    for number, shares in enumerate(weighted):
        for term, by_field in shares.items():
            tf = sum(by_field.values())
            if tf <= 0:
                continue
            score = idf(len(chunks), frequency[term]) * tf * (settings.k1 + 1) / (tf + settings.k1)
            strongest = max(sorted(by_field), key=lambda name: by_field[name])
            postings.setdefault(term, []).append(Posting(number, score, strongest))
    return postings
