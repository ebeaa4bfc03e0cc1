"""Learning one class at a time with scikit-learn, weights as whole numbers; classes hang on nothing but the lines."""

from __future__ import annotations

from array import array
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from scipy.sparse import csr_matrix
from sklearn.svm import LinearSVC

from assistant.compiling.sample import RareLines, Sampling, chosen_lines, middles_of, rare_lines
from assistant.compiling.settings import LinearSettings
from assistant.ranking.linear import UNIT

__all__ = ["ClassWeights", "Problem", "learn_block", "learn_class", "learn_from", "problem_of"]


@dataclass(frozen=True, slots=True)
class ClassWeights:
    """What one class has learned: (column, weight) in thousandths of every feature that matters, and the bias."""

    columns: Sequence[int]
    weights: Sequence[int]
    bias: int


class Problem(NamedTuple):
    """All that classes are learned from.

    ``matrix`` has a row for each line; ``own`` are the rows of each class, one after another, class by class, and
    ``ends`` where each begins and the last ends. With a ``sampling``, ``rare`` tells what makes lines alike.
    """

    matrix: Any
    own: Any
    ends: Any
    sampling: Sampling | None
    rare: RareLines | None

    def rows(self, place: int) -> Any:
        """Return the rows of the class at a place."""
        return self.own[self.ends[place] : self.ends[place + 1]]


def problem_of(
    matrix: Any, numbers: Iterable[frozenset[int]], classes: Sequence[int], sampling: Sampling | None
) -> Problem:
    """Return the problem of lines with their classes.

    Parameters
    ----------
    numbers
        The classes of each row of ``matrix``.
    classes
        All classes, in the order of their places.
    """
    rows: dict[int, array[int]] = {number: array("i") for number in classes}
    for row, found in enumerate(numbers):
        for number in found:
            rows[number].append(row)
    own = np.concatenate([np.asarray(rows[number], dtype=np.int32) for number in classes])
    ends = np.cumsum([0, *(len(rows[number]) for number in classes)])
    return Problem(matrix, own, ends, sampling, rare_lines(matrix) if sampling else None)


def learn_block(problem: Problem, places: Sequence[int], settings: LinearSettings) -> list[ClassWeights]:
    """Learn the classes at some places; each as if it were learned alone."""
    return list(_learned(problem, places, settings))


def _learned(problem: Problem, places: Sequence[int], settings: LinearSettings) -> Iterator[ClassWeights]:
    own = [problem.rows(place) for place in places]
    lines = problem.matrix.shape[0]
    if problem.sampling is None or problem.rare is None:
        for mine in own:
            target = np.zeros(lines, dtype=bool)
            target[mine] = True
            yield learn_class(problem.matrix, target, settings)
        return
    middles = middles_of(problem.matrix, own, problem.rare)
    for mine, chosen in zip(own, chosen_lines(problem.rare, own, middles, problem.sampling), strict=True):
        yield learn_from(problem.matrix[chosen.rows], np.isin(chosen.rows, mine), settings, chosen.weights)


def learn_class(matrix: Any, target: Any, settings: LinearSettings, line_weights: Any = None) -> ClassWeights:
    """Learn one class against all other lines; the same rows give the same weights, whatever was learned before.

    A class that every line stands for has a bias alone.

    Parameters
    ----------
    target
        Whether each row is a line of the class, shape (rows,).
    line_weights
        How many lines each row stands for, shape (rows,); one where nothing is told.

    Source
    ------
    Fan and others, LIBLINEAR: a library for large linear classification, JMLR 9, 2008, as scikit-learn's `LinearSVC`.
    """
    if np.all(target):
        return ClassWeights(array("i"), array("i"), UNIT)
    model = LinearSVC(C=settings.inverse_penalty, random_state=0, tol=settings.tolerance)
    model.fit(matrix, np.asarray(target), sample_weight=line_weights)
    weights = np.rint(UNIT * model.coef_[0]).astype(int)
    columns = np.flatnonzero(np.abs(weights) >= settings.least_weight)
    bias = round(UNIT * float(model.intercept_[0]))
    return ClassWeights(array("i", columns.tolist()), array("i", weights[columns].tolist()), bias)


def learn_from(matrix: Any, target: Any, settings: LinearSettings, line_weights: Any) -> ClassWeights:
    """Learn one class from a few of all lines: what columns they lack takes no room and no time."""
    used = np.zeros(matrix.shape[1], dtype=bool)
    used[matrix.indices] = True
    columns = np.flatnonzero(used)
    place = np.cumsum(used, dtype=np.int32) - 1
    data = matrix.data.astype(np.float64)
    few = csr_matrix((data, place[matrix.indices], matrix.indptr), shape=(matrix.shape[0], len(columns)))
    found = learn_class(few, target, settings, line_weights)
    return ClassWeights(array("i", columns[np.asarray(found.columns, dtype=int)].tolist()), found.weights, found.bias)
