"""Which lines a class is learned against where there are too many: those most like its own, and some of all others.

What is left out is stood for: a line that is drawn evenly from the rest weighs as much as all those between it and the
next one. The choice hangs on the lines alone, not on chance, nor on what other classes are learned beside.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np
from scipy.sparse import csr_matrix, diags

__all__ = ["Chosen", "Sampling", "chosen_lines", "middles_of", "rare_columns"]

_COMMON = 0.05
"""A feature that so many of all lines have does not make lines alike."""


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


def rare_columns(matrix: Any) -> Any:
    """Return for each column whether it makes lines alike, shape (features,)."""
    return np.bincount(matrix.indices, minlength=matrix.shape[1]) <= max(1, _COMMON * matrix.shape[0])


def chosen_lines(matrix: Any, own: Sequence[Any], middles: Any, sampling: Sampling) -> Iterator[Chosen]:
    """Yield for each class the lines to learn it from.

    Parameters
    ----------
    matrix
        A row for each line, shape (lines, features).
    own
        The rows of the lines of each class.
    middles
        What `middles_of` returns for them, shape (classes, features).
    """
    likeness = (matrix @ middles.T).tocsc()
    for place, mine in enumerate(own):
        start, end = likeness.indptr[place : place + 2]
        yield _chosen(mine, likeness.indices[start:end], likeness.data[start:end], matrix.shape[0], sampling)


def middles_of(matrix: Any, own: Sequence[Any], rare: Any) -> Any:
    """Return the mean of the rows of each class in the columns that `rare_columns` names, shape (classes, features)."""
    ends = np.cumsum([0, *(len(mine) for mine in own)])
    shares = np.concatenate([np.full(len(mine), 1 / len(mine), matrix.dtype) for mine in own])
    means = csr_matrix((shares, np.concatenate(own), ends), shape=(len(own), matrix.shape[0])) @ matrix
    middles = means @ diags(rare.astype(matrix.dtype))
    middles.eliminate_zeros()
    return middles


def _chosen(mine: Any, rows: Any, likeness: Any, lines: int, sampling: Sampling) -> Chosen:
    free = np.ones(lines, dtype=bool)
    free[mine] = False
    others = free[rows]
    near = _first(rows[others], likeness[others], max(sampling.near, 2 * len(mine)))
    free[near] = False
    rest = np.flatnonzero(free)
    number = min(max(sampling.drawn, sampling.each * len(mine)), len(rest))
    drawn = rest[np.arange(number) * len(rest) // max(1, number)]
    weights = np.ones(lines)
    weights[drawn] = len(rest) / max(1, number)
    found = np.sort(np.concatenate([mine, near, drawn]))
    return Chosen(found, weights[found])


def _first(rows: Any, likeness: Any, number: int) -> Any:
    """Return the ``number`` rows that are most alike; of two that are alike the first."""
    if len(rows) > number:
        held = likeness >= -np.partition(-likeness, number - 1)[number - 1]
        rows, likeness = rows[held], likeness[held]
    return rows[np.lexsort((rows, -likeness))][:number]
