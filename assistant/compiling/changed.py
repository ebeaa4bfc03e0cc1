"""The class of one changed note, from its lines as they are now and the lines of all others as they were."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
from scipy.sparse import vstack

from assistant.compiling.classes import ClassWeights, learn_class, learn_from, problem_of
from assistant.compiling.linear import sampling_for
from assistant.compiling.lines import classes_of, tellings, told_by
from assistant.compiling.sample import Sampling, chosen_lines, middles_of
from assistant.compiling.settings import LinearSettings
from assistant.compiling.vectors import Vectors
from assistant.model import Corpus, Note
from assistant.ranking.score import NONE

__all__ = ["ChangedRows"]


class ChangedRows:
    """The lines of a corpus with their rows, of which notes change one at a time.

    Parameters
    ----------
    corpus
        The notes from which ``vectors`` were made.
    sampling
        How many lines each class was learned against; see `learn_linear`.
    """

    def __init__(
        self, corpus: Corpus, settings: LinearSettings, vectors: Vectors, sampling: Sampling | None = None
    ) -> None:
        self._settings = settings
        self._vectors = vectors
        self._told = tellings(corpus, settings.pairs)
        self._row = {line: row for row, line in enumerate(self._told)}
        self._lines = list(self._told)
        self._number = {note.id: place for place, note in enumerate(corpus.notes)}
        numbers = [classes_of(found) for found in self._told.values()]
        self._classes = sorted({number for found in numbers for number in found})
        sampling = sampling or sampling_for(len(self._classes))
        self._problem = problem_of(vectors.matrix, numbers, self._classes, sampling)
        self._touched: dict[str, frozenset[int]] = {}

    def learned(self, before: Note, after: Note) -> ClassWeights:
        """Take over one note and return what its class learns now."""
        for line, number in self._tellings(before):
            numbers = list(self._told[line])
            numbers.remove(number)
            self._touch(line, tuple(numbers))
        for line, number in self._tellings(after):
            self._touch(line, (*self._told.get(line, ()), number))
        return self._learn(self._number[after.id])

    def _tellings(self, note: Note) -> Iterator[tuple[str, int]]:
        for line, owner in told_by(note, self._settings.pairs):
            yield line.lower(), self._number.get(owner, NONE)

    def _touch(self, line: str, numbers: tuple[int, ...]) -> None:
        self._touched.setdefault(line, classes_of(self._told.get(line, ())))
        self._told[line] = numbers

    def _learn(self, number: int) -> ClassWeights:
        """Learn a class; of the lines that nobody tells any more, those that were its own alone are left out."""
        mine = {self._lines[row]: None for row in self._problem.rows(self._classes.index(number))}
        lines = [line for line in {**mine, **self._touched} if number in classes_of(self._told[line])]
        own = np.array(sorted(self._row[line] for line in lines if line in self._row), dtype=int)
        new = [line for line in lines if line not in self._row]
        gone = [
            self._row[line]
            for line, classes in self._touched.items()
            if line in self._row and not self._told[line] and classes == {number}
        ]
        matrix, sampling, rare = self._vectors.matrix, self._problem.sampling, self._problem.rare
        rows = [matrix[own], *([self._vectors.rows(new)] if new else [])]
        if sampling is None or rare is None:
            kept = np.setdiff1d(np.arange(matrix.shape[0]), gone)
            return learn_class(_joined([matrix[kept], *rows[1:]]), _target(kept, own, len(new)), self._settings)
        together = _joined(rows)
        middles = middles_of(together, [np.arange(together.shape[0])], rare)
        (chosen,) = chosen_lines(rare, [np.union1d(own, gone).astype(int)], middles, sampling)
        held = ~np.isin(chosen.rows, gone)
        kept, weights = chosen.rows[held], [*chosen.weights[held], *(1.0 for _ in new)]
        return learn_from(_joined([matrix[kept], *rows[1:]]), _target(kept, own, len(new)), self._settings, weights)


def _target(kept: Any, own: Any, new: int) -> Any:
    return np.concatenate([np.isin(kept, own), np.ones(new, dtype=bool)])


def _joined(rows: list[Any]) -> Any:
    return vstack(rows, format="csr") if len(rows) > 1 else rows[0]
