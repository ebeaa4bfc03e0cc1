"""Which lines a class is learned against where there are too many: those most like its own, and some of all others.

What is left out is stood for: a line that is drawn evenly from the rest weighs as much as all those between it and the
next one. The choice hangs on the lines alone, not on chance, nor on what other classes are learned beside.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from scipy.sparse import csr_matrix

__all__ = ["Chosen", "RareLines", "Sampling", "chosen_lines", "middles_of", "rare_lines"]

_COMMON, _MOST = 0.05, 10_000
"""A feature that such a share of all lines has, or so many lines, does not make lines alike."""

_AT_ONCE = 1 << 22


class Sampling(NamedTuple):
    """How many lines a class is learned against, besides its own.

    ``near`` are those most like its own, at least two for each of its own; ``drawn`` are drawn evenly from the rest,
    at least ``each`` for each of its own: the class of no note has many, and decides what is refused.
    """

    near: int = 6000
    drawn: int = 2000
    each: int = 8


class Chosen(NamedTuple):
    """Rows of the matrix, rising, shape (rows,), and how many lines each stands for, shape (rows,)."""

    rows: Any
    weights: Any


class RareLines(NamedTuple):
    """The columns that make lines alike, rising, and the lines that have each, shape (columns, lines)."""

    columns: Any
    lines: Any


def rare_lines(matrix: Any) -> RareLines:
    """Return which columns make lines alike; what the lines of a class cost to find hangs on `_MOST`, not on all."""
    common = np.zeros(matrix.shape[1], dtype=np.int64)
    for start in range(0, matrix.nnz, _AT_ONCE):
        common += np.bincount(matrix.indices[start : start + _AT_ONCE], minlength=matrix.shape[1])
    columns = np.flatnonzero(common <= max(1, min(_MOST, _COMMON * matrix.shape[0])))
    return RareLines(columns, matrix[:, columns].T.tocsr())


def chosen_lines(rare: RareLines, own: Sequence[Any], middles: Any, sampling: Sampling) -> Iterator[Chosen]:
    """Yield for each class the lines to learn it from.

    Parameters
    ----------
    own
        The rows of the lines of each class.
    middles
        What `middles_of` returns for them, shape (classes, columns).
    """
    lines = rare.lines.shape[1]
    held = np.zeros(lines, dtype=bool)
    for place, mine in enumerate(own):
        likeness = middles[place] @ rare.lines
        held[mine] = True
        others = ~held[likeness.indices]
        near = _first(likeness.indices[others], likeness.data[others], max(sampling.near, 2 * len(mine)))
        held[mine] = False
        yield _chosen(mine, near, lines, sampling)


def middles_of(matrix: Any, own: Sequence[Any], rare: RareLines) -> Any:
    """Return the mean of the rows of each class in the columns that make lines alike, shape (classes, columns)."""
    ends = np.cumsum([0, *(len(mine) for mine in own)])
    shares = np.concatenate([np.full(len(mine), 1 / len(mine), matrix.dtype) for mine in own])
    means = csr_matrix((shares, np.arange(ends[-1]), ends), shape=(len(own), ends[-1])) @ matrix[np.concatenate(own)]
    return means[:, rare.columns]


def _chosen(mine: Any, near: Any, lines: int, sampling: Sampling) -> Chosen:
    """Return own and near lines, and of the rest evenly drawn ones, each of which stands for those up to the next."""
    taken = np.sort(np.concatenate([mine, near]))
    rest = lines - len(taken)
    number = min(max(sampling.drawn, sampling.each * len(mine)), rest)
    place = np.arange(number) * rest // max(1, number)
    drawn = place + np.searchsorted(taken - np.arange(len(taken)), place, side="right")
    rows = np.concatenate([taken, drawn])
    weights = np.concatenate([np.ones(len(taken)), np.full(number, rest / max(1, number))])
    order = np.argsort(rows)
    return Chosen(rows[order], weights[order])


def _first(rows: Any, likeness: Any, number: int) -> Any:
    """Return the ``number`` rows that are most alike; of two that are alike the first."""
    if len(rows) > number:
        held = likeness >= -np.partition(-likeness, number - 1)[number - 1]
        rows, likeness = rows[held], likeness[held]
    return rows[np.lexsort((rows, -likeness))][:number]
