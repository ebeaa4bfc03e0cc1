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
from collections.abc import Iterator, Sequence
from itertools import combinations, product
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
    known: dict[str, int] = {}
    places: dict[bytes, list[int]] = {}
    for place, text in enumerate(texts):
        words = array("i", [known.setdefault(word, len(known)) for word in tokenize(text)])
        places.setdefault(words.tobytes(), []).append(place)
    places.pop(b"", None)
    groups = list(places.values())
    found: list[tuple[int, int, float]] = []
    if same:
        found += ((i, j, 1.0) for group in groups for i, j in combinations(group, 2))
    if len(groups) > 1:
        vectors = _vectors(list(places), len(known), list(map(len, groups)), len(texts))
        for one, other, cosine in _near(vectors, least):
            found += ((min(pair), max(pair), cosine) for pair in product(groups[one], groups[other]))
    return sorted(found)


def _vectors(kinds: Sequence[bytes], words: int, times: Sequence[int], number: int) -> csr_array:
    """Return the vector of each kind of text as a row of length 1, its terms in the order of their rarity.

    A kind is its words as numbers below ``words``, four bytes each; ``times`` says how many of the ``number`` texts are
    of it. A pair of neighbours is a number too: as texts, those of many notes take most of the memory of a check.
    """
    import numpy as np
    from scipy.sparse import csr_array

    held = np.frombuffer(b"".join(kinds), dtype=np.intc)
    row = np.repeat(np.arange(len(kinds), dtype=np.intc), [len(kind) // held.itemsize for kind in kinds])
    first = np.flatnonzero(row[:-1] == row[1:])
    pairs, pair = np.unique(held[first].astype(np.int64) * words + held[first + 1], return_inverse=True)
    at = np.concatenate((row, row[first])), np.concatenate((held, (words + pair).astype(np.intc)))
    vectors = csr_array((np.ones(len(at[0])), at), shape=(len(kinds), words + len(pairs)))
    of = np.repeat(np.arange(len(kinds)), np.diff(vectors.indptr))
    spread = np.bincount(vectors.indices, weights=np.array(times)[of], minlength=vectors.shape[1])
    data = (1 + np.log(vectors.data)) * (1 + np.log((1 + number) / (1 + spread)))[vectors.indices]
    data /= np.sqrt(np.bincount(of, weights=data * data))[of]
    rank = np.empty(len(spread), dtype=vectors.indices.dtype)
    rank[np.argsort(spread, kind="stable")] = np.arange(len(spread))
    vectors = csr_array((data, rank[vectors.indices], vectors.indptr), shape=vectors.shape)
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
