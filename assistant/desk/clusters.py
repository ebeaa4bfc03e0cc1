"""Rows grouped by meaning, in memory that grows with the rows and not with the pairs of them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from assistant.desk.meaning import Rows

__all__ = ["LEAST_ALIKE", "clusters"]

LEAST_ALIKE = 0.24
"""Mean cosine of two clusters above which they are joined."""
_DIGITS = 5
"""Of a cosine that count: what differs by less is equally near."""
_CELLS = 2_000_000
"""Products that are held at once."""


class _Nearest(NamedTuple):
    """For each row the row that is most like it, and how much."""

    row: Any
    alike: Any


def clusters(rows: Rows) -> Iterator[list[int]]:
    """Yield the places of the rows of each cluster, the one nearest to the others first, of equally near the first."""
    from scipy.sparse import csr_matrix

    for members in _joined(rows):
        own = rows.at(members)
        nearness = own.times(Rows(csr_matrix(own.terms.sum(axis=0)), own.notes.sum(axis=0, keepdims=True)))
        nearness = nearness.round(_DIGITS).ravel().tolist()
        yield [members[place] for place in sorted(range(len(members)), key=lambda at: (-nearness[at], members[at]))]


def _joined(means: Rows) -> Iterator[list[int]]:
    """Yield the rows of each cluster of agglomerative clustering by average cosine.

    How much two clusters are alike is the product of their mean rows. Two that are nearest to each other are joined
    whatever else is joined before them: what is joined is no nearer to a third than the nearer of the two was.

    Source
    ------
    Murtagh, A survey of recent advances in hierarchical clustering algorithms, The Computer Journal 26(4), 1983 (from
    memory).
    """
    from scipy.sparse import csr_matrix

    members = [[row] for row in range(means.terms.shape[0])]
    nearest = _Nearest(np.zeros(len(members), dtype=np.int64), np.zeros(len(members)))
    stale = np.arange(len(members))
    while members:
        nearest.row[stale], nearest.alike[stale] = _nearest(means, stale)
        rows = np.arange(len(members))
        open_ = nearest.alike > LEAST_ALIKE
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
        of = csr_matrix((shares[moved].astype(np.float32), (place[into[moved]], moved)), shape=(len(kept), len(rows)))
        means = Rows(of @ means.terms, of @ means.notes)
        towards = into[nearest.row[kept]]
        stale = np.flatnonzero(np.isin(towards, firsts) | np.isin(kept, firsts))
        nearest = _Nearest(place[towards], nearest.alike[kept])


def _nearest(means: Rows, rows: Any) -> _Nearest:
    """Return what is nearest to each of the ``rows``; the first of those that are equally near."""
    found = _Nearest(np.zeros(len(rows), dtype=np.int64), np.zeros(len(rows)))
    step = max(1, _CELLS // means.terms.shape[0])
    for start in range(0, len(rows), step):
        block = rows[start : start + step]
        alike = means.at(block).times(means).round(_DIGITS)
        each = np.arange(len(block))
        alike[each, block] = -1
        found.row[start + each] = alike.argmax(axis=1)
        found.alike[start + each] = alike[each, found.row[start + each]]
    return found
