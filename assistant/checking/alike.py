"""Texts that say nearly the same: cosine of TF-IDF vectors of words and pairs of neighbouring words."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from functools import lru_cache
from itertools import pairwise

from assistant.analysis.tokens import tokenize

__all__ = ["alike"]


def alike(texts: Sequence[str], least: float) -> list[tuple[int, int, float]]:
    """Return (first, second, cosine) of all pairs of ``texts`` with a cosine of ``least`` or more, in order.

    A term that stands ``t`` times in a text and in ``d`` of ``n`` texts weighs (1 + ln t) (1 + ln((1 + n) / (1 + d))),
    as in scikit-learn's `TfidfVectorizer` with ``sublinear_tf``, whose import takes longer than all rules together.

    Parameters
    ----------
    texts
        Any number of them; one without words is like none.
    least
        Above 0 and at most 1.
    """
    from scipy.sparse import csr_array

    counts = [_counted(text) for text in texts]
    spread = Counter(term for count in counts for term in count)
    rarity = {term: 1 + math.log((1 + len(texts)) / (1 + held)) for term, held in spread.items()}
    column = {term: n for n, term in enumerate(spread)}
    data: list[float] = []
    columns: list[int] = []
    starts = [0]
    for count in counts:
        weights = {term: (1 + math.log(times)) * rarity[term] for term, times in count.items()}
        length = math.sqrt(math.fsum(weight * weight for weight in weights.values()))
        data += (weight / length for weight in weights.values())
        columns += (column[term] for term in weights)
        starts.append(len(data))
    vectors = csr_array((data, columns, starts), shape=(len(texts), max(len(column), 1)))
    cosines = (vectors @ vectors.T).tocoo()
    triples = zip(*(axis.tolist() for axis in cosines.coords), cosines.data.tolist(), strict=True)
    return sorted((i, j, round(value, 6)) for i, j, value in triples if i < j and value >= least)


@lru_cache(maxsize=1 << 13)
def _counted(text: str) -> Mapping[str, int]:
    words = tokenize(text)
    return Counter([*words, *(f"{left} {right}" for left, right in pairwise(words))])
