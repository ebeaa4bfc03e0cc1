"""Texts grouped by meaning, in memory that grows with the texts and not with the pairs of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

__all__ = ["clusters"]

_LEAST_ALIKE = 0.2
"""Mean cosine of two clusters that are joined."""
_TERMS_COUNT = 2.0
"""So much more than runs of letters."""
_ALMOST = 1e-9
_CELLS = 2_000_000
"""Products that are held at once."""


class _Nearest(NamedTuple):
    """For each row the row that is most like it, and how much."""

    row: Any
    alike: Any


def clusters(texts: Sequence[str], terms_of: Callable[[str], list[str]]) -> Iterator[tuple[str, ...]]:
    """Yield the texts of each cluster, the one nearest to the others first.

    Rows are TF-IDF of terms and of runs of letters; clusters are joined as long as their mean cosine is above 0.2.
    """
    if not texts:
        return
    vectors, terms = _vectors(texts, terms_of)
    for members in _joined(vectors, terms):
        own = vectors[members]
        nearness = np.asarray(own @ own.sum(axis=0).T).round(9).ravel().tolist()
        order = sorted(range(len(members)), key=lambda place: (-nearness[place], texts[members[place]]))
        yield tuple(texts[members[place]] for place in order)


def _vectors(texts: Sequence[str], terms_of: Callable[[str], list[str]]) -> tuple[Any, int]:
    """Return a sparse row of length 1 for every text, and how many of its first columns are terms."""
    from scipy.sparse import hstack
    from sklearn.feature_extraction.text import CountVectorizer, TfidfVectorizer
    from sklearn.preprocessing import normalize

    runs_of = CountVectorizer(analyzer="char_wb", ngram_range=(3, 4)).build_analyzer()
    by_terms = TfidfVectorizer(analyzer=lambda text: terms_of(text) or [text], sublinear_tf=True).fit_transform(texts)
    by_runs = TfidfVectorizer(analyzer=lambda text: runs_of(f" {text} ") or [text], sublinear_tf=True)
    whole = hstack([_TERMS_COUNT * by_terms, by_runs.fit_transform(texts)])
    return normalize(whole.tocsr()), by_terms.shape[1]


def _joined(vectors: Any, terms: int) -> Iterator[list[int]]:
    """Yield the rows of each cluster of agglomerative clustering by average cosine.

    How much two clusters are alike is the product of their mean rows. Two that are nearest to each other are joined
    whatever else is joined before them: what is joined is no nearer to a third than the nearer of the two was.

    Source
    ------
    Murtagh, A survey of recent advances in hierarchical clustering algorithms, The Computer Journal 26(4), 1983 (from
    memory).
    """
    from scipy.sparse import csr_matrix

    means, members = vectors, [[row] for row in range(vectors.shape[0])]
    nearest = _Nearest(np.zeros(len(members), dtype=np.int64), np.zeros(len(members)))
    stale = np.arange(len(members))
    while members:
        nearest.row[stale], nearest.alike[stale] = _nearest(means, terms, stale)
        rows = np.arange(len(members))
        open_ = nearest.alike > _LEAST_ALIKE + _ALMOST
        firsts = np.flatnonzero(open_ & (nearest.row[nearest.row] == rows) & (rows < nearest.row))
        yield from (members[row] for row in (rows[~open_] if len(firsts) else rows))
        if not len(firsts):
            return
        seconds = nearest.row[firsts]
        into = rows.copy()
        into[seconds] = firsts
        sizes = np.array([len(own) for own in members], dtype=float)
        for first, second in zip(firsts.tolist(), seconds.tolist(), strict=True):
            members[first] = members[first] + members[second]
        shares = sizes / np.array([len(members[row]) for row in into], dtype=float)
        kept = np.flatnonzero(open_ & (into == rows))
        place = np.full(len(rows), -1)
        place[kept] = np.arange(len(kept))
        members = [members[row] for row in kept]
        moved = rows[open_]
        means = csr_matrix((shares[moved], (place[into[moved]], moved)), shape=(len(kept), len(rows))) @ means
        towards = into[nearest.row[kept]]
        stale = np.flatnonzero(np.isin(towards, firsts) | np.isin(kept, firsts))
        nearest = _Nearest(place[towards], nearest.alike[kept])


def _nearest(means: Any, terms: int, rows: Any) -> _Nearest:
    """Return what is nearest to each of the ``rows``; the first of those that are equally near.

    What shares no term is never near enough, and runs of letters add no more than the product of two lengths, so that
    they are multiplied out for the few rows alone that can still be the nearest.
    """
    by_terms, by_runs = means[:, :terms], means[:, terms:]
    across = by_terms.T.tocsr()
    lengths = np.sqrt(np.asarray(by_runs.multiply(by_runs).sum(axis=1)).ravel())
    found = _Nearest(np.zeros(len(rows), dtype=np.int64), np.zeros(len(rows)))
    step = max(1, _CELLS // means.shape[0])
    for start in range(0, len(rows), step):
        block = rows[start : start + step]
        product = by_terms[block] @ across
        left = np.repeat(np.arange(len(block)), np.diff(product.indptr))
        other = product.indices != block[left]
        left, right, alike = left[other], product.indices[other], product.data[other]
        most = lengths[block[left]] * lengths[right]
        tried = _firsts(left, right, alike)
        best = np.full(len(block), _LEAST_ALIKE)
        sure = alike[tried] + _products(by_runs, block[left[tried]], right[tried])
        best[left[tried]] = np.maximum(best[left[tried]], sure)
        hopeful = alike + most >= best[left] - _ALMOST
        left, right, alike = left[hopeful], right[hopeful], alike[hopeful]
        alike = (alike + _products(by_runs, block[left], right)).round(9)
        first = _firsts(left, right, alike)
        found.row[start + left[first]], found.alike[start + left[first]] = right[first], alike[first]
    return found


def _firsts(left: Any, right: Any, alike: Any) -> Any:
    """Return, for each row on the rising ``left``, the place of what is most like it; the first of those equally so."""
    begins = np.diff(left, prepend=-1) > 0
    if not len(left):
        return np.flatnonzero(begins)
    best = np.maximum.reduceat(alike, np.flatnonzero(begins))
    held = np.flatnonzero(alike == best[np.cumsum(begins) - 1])
    held = held[np.lexsort((right[held], left[held]))]
    return held[np.diff(left[held], prepend=-1) > 0]


def _products(rows: Any, left: Any, right: Any) -> Any:
    """Return the product of each row on the ``left``, in rising order, with its row on the ``right``."""
    found = np.zeros(len(left))
    one = np.zeros(rows.shape[1])
    starts = np.flatnonzero(np.diff(left, prepend=-1))
    for start, end in zip(starts.tolist(), [*starts.tolist(), len(left)][1:], strict=True):
        own = slice(rows.indptr[left[start]], rows.indptr[left[start] + 1])
        one[rows.indices[own]] = rows.data[own]
        found[start:end] = rows[right[start:end]] @ one
        one[rows.indices[own]] = 0
    return found
