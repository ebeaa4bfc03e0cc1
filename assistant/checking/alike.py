"""Texts that say nearly the same: cosine of TF-IDF vectors of words and pairs of neighbouring words.

Two texts that are alike share one of their rare terms: of each vector only so many terms are looked up, the rarest
first, that the rest is shorter than the cosine asked for. By the inequality of Cauchy and Schwarz the rest alone can
then make no two texts alike, so that no pair is missed, and few are held against one another.

Source
------
Anastasiu and Karypis, L2AP: fast cosine similarity search with prefix L-2 norm bounds, ICDE 2014 (from memory).
"""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product
from typing import TYPE_CHECKING

from assistant.analysis.tokens import tokenize

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    from scipy.sparse import csr_array

__all__ = ["alike"]

_ROWS = 256
"""Texts whose rare terms are looked up at a time."""
_PAIRS = 4096
"""Pairs that are held against one another at a time."""
_SLACK = 1e-6
"""What is within it of the cosine asked for is looked at closely."""


def alike(texts: Sequence[str], least: float, *, same: bool = True) -> list[tuple[int, int, float]]:
    """Return (first, second, cosine) of all pairs of ``texts`` with a cosine of ``least`` or more, in order.

    A term that stands ``t`` times in a text and in ``d`` of ``n`` texts weighs (1 + ln t) (1 + ln((1 + n) / (1 + d))),
    as in scikit-learn's `TfidfVectorizer` with ``sublinear_tf``, whose import takes longer than all rules together.
    Cosines are rounded to six places.

    Parameters
    ----------
    texts
        Any number of them; one without words is like none.
    least
        Above 0 and at most 1.
    same
        Whether texts of the very same words are among the pairs.
    """
    places: dict[tuple[str, ...], list[int]] = {}
    for place, text in enumerate(texts):
        places.setdefault(tuple(tokenize(text)), []).append(place)
    places.pop((), None)
    groups = list(places.values())
    found: list[tuple[int, int, float]] = []
    if same:
        found += ((i, j, 1.0) for group in groups for i, j in combinations(group, 2))
    if len(groups) > 1:
        vectors = _vectors(list(places), list(map(len, groups)), len(texts))
        for one, other, cosine in _near(vectors, least):
            found += ((min(pair), max(pair), cosine) for pair in product(groups[one], groups[other]))
    return sorted(found)


def _vectors(kinds: Sequence[tuple[str, ...]], times: Sequence[int], number: int) -> csr_array:
    """Return the vector of each kind of text as a row of length 1, its terms in the order of their rarity.

    ``times`` says how many of the ``number`` texts are of each kind.
    """
    import numpy as np
    from scipy.sparse import csr_array

    columns: dict[str, int] = {}
    terms, counts, starts = array("q"), array("d"), array("q", [0])
    for words in kinds:
        held = Counter([*words, *(f"{left} {right}" for left, right in pairwise(words))])
        terms.extend(columns.setdefault(term, len(columns)) for term in held)
        counts.extend(held.values())
        starts.append(len(terms))
    shape = (len(kinds), len(columns))
    column, start = np.array(terms), np.array(starts)
    row = np.repeat(np.arange(len(kinds)), np.diff(start))
    spread = np.bincount(column, weights=np.array(times)[row], minlength=len(columns))
    data = (1 + np.log(np.array(counts))) * (1 + np.log((1 + number) / (1 + spread)))[column]
    data /= np.sqrt(np.bincount(row, weights=data * data))[row]
    rank = np.empty(len(columns), dtype=np.int64)
    rank[np.argsort(spread, kind="stable")] = np.arange(len(columns))
    vectors = csr_array((data, rank[column], start), shape=shape)
    vectors.sort_indices()
    return vectors


def _near(vectors: csr_array, least: float) -> Iterator[tuple[int, int, float]]:
    """Yield (first, second, cosine) of the rows that are alike."""
    heads = _heads(vectors, least - _SLACK)
    across = heads.T.tocsr()
    for start in range(0, heads.shape[0], _ROWS):
        shared = (heads[start : start + _ROWS] @ across).tocoo()
        ahead = shared.coords[0] + start < shared.coords[1]
        rows, others = shared.coords[0][ahead] + start, shared.coords[1][ahead]
        for first in range(0, len(rows), _PAIRS):
            part = slice(first, first + _PAIRS)
            yield from _alike_of(vectors, rows[part], others[part], least)


def _alike_of(
    vectors: csr_array, rows: npt.NDArray[np.int64], others: npt.NDArray[np.int64], least: float
) -> Iterator[tuple[int, int, float]]:
    cosines = vectors[rows].multiply(vectors[others]).sum(axis=1).round(6)
    near = cosines >= least
    yield from zip(rows[near].tolist(), others[near].tolist(), cosines[near].tolist(), strict=True)


def _heads(vectors: csr_array, least: float) -> csr_array:
    """Return the rows without the commonest terms of each, so many that these alone are shorter than ``least``."""
    import numpy as np
    from scipy.sparse import csr_array

    ends = vectors.indptr[1:]
    sums = np.concatenate(([0.0], np.cumsum(vectors.data * vectors.data)))
    row = np.repeat(np.arange(vectors.shape[0]), np.diff(vectors.indptr))
    rest = sums[ends][row] - sums[:-1]
    kept = rest >= max(least, 0.0) ** 2 - _SLACK
    starts = np.concatenate(([0], np.cumsum(np.bincount(row[kept], minlength=vectors.shape[0]))))
    return csr_array((vectors.data[kept], vectors.indices[kept], starts), shape=vectors.shape)
