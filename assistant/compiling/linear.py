"""Learning a linear model with scikit-learn: one class at a time against all other lines, weights as whole numbers."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.svm import LinearSVC

from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.compiling.lines import Lines
from assistant.compiling.settings import LinearSettings
from assistant.progress import Progress, counted, silent
from assistant.ranking.linear import UNIT, FeatureRow

__all__ = ["ClassWeights", "LinearModel", "Vectors", "learn_class", "learn_linear"]

_MANY_LINES = 4000
"""From so many lines on a feature that hardly any line has is left out."""


class Vectors:
    """Turns lines into rows of a matrix: words with their pairs, and runs of letters, each side of length 1.

    Attributes
    ----------
    names
        The feature of each column.
    idf
        Of each column, shape (features,).
    """

    def __init__(self, lines: Collection[str], settings: LinearSettings) -> None:
        many = len(lines) >= _MANY_LINES
        self._sides = [
            TfidfVectorizer(analyzer=analyzer, sublinear_tf=True, min_df=least if many else 1)
            for analyzer, least in ((_words, settings.word_texts), (_grams, settings.gram_texts))
        ]
        self.matrix = _joined([side.fit_transform(lines) for side in self._sides])
        self.names = [str(name) for side in self._sides for name in side.get_feature_names_out()]
        self.idf = np.concatenate([side.idf_ for side in self._sides])

    def rows(self, lines: Sequence[str]) -> Any:
        """Return the rows of other lines, shape (lines, features); features that are new to it count for nothing."""
        return _joined([side.transform(lines) for side in self._sides])


def _words(text: str) -> list[str]:
    return word_features(tokenize(text))


def _grams(text: str) -> list[str]:
    return [gram for word in tokenize(text) for gram in grams(word)]


def _joined(sides: Sequence[Any]) -> Any:
    from scipy.sparse import hstack

    return hstack(sides, format="csr")


@dataclass(frozen=True, slots=True)
class ClassWeights:
    """What one class has learned: (column, weight) in thousandths of every feature that matters, and the bias."""

    columns: Sequence[int]
    weights: Sequence[int]
    bias: int


@dataclass(frozen=True, slots=True)
class LinearModel:
    """Features as a pack stores them, and the bias of every class."""

    rows: Mapping[str, FeatureRow]
    bias: Mapping[int, int]


def learn_class(matrix: Any, target: Sequence[bool], settings: LinearSettings) -> ClassWeights:
    """Learn one class against all other lines; the same rows give the same weights, whatever was learned before.

    A class that every line stands for has a bias alone.

    Source
    ------
    Fan and others, LIBLINEAR: a library for large linear classification, JMLR 9, 2008, as scikit-learn's `LinearSVC`.
    """
    if all(target):
        return ClassWeights((), (), UNIT)
    model = LinearSVC(C=settings.inverse_penalty, random_state=0, tol=settings.tolerance)
    model.fit(matrix, np.asarray(target))
    weights = np.rint(UNIT * model.coef_[0]).astype(int)
    columns = np.flatnonzero(np.abs(weights) >= settings.least_weight)
    return ClassWeights(columns.tolist(), weights[columns].tolist(), round(UNIT * float(model.intercept_[0])))


def learn_linear(
    lines: Lines,
    settings: LinearSettings,
    progress: Progress = silent,
    *,
    keep: Callable[[Vectors, dict[int, ClassWeights]], None] | None = None,
) -> LinearModel:
    """Learn all classes of ``lines``; an empty model where they do not hold two classes.

    Parameters
    ----------
    keep
        Is handed what was learned by class, for a caller that will learn one of them anew.
    """
    classes = sorted({number for numbers in lines.values() for number in numbers})
    if len(classes) < len((True, False)):
        return LinearModel({}, {})
    vectors = Vectors(lines.keys(), settings)
    learned = {
        number: learn_class(vectors.matrix, [number in numbers for numbers in lines.values()], settings)
        for number in counted(classes, progress, f"learning {len(classes)} classes")
    }
    if keep:
        keep(vectors, learned)
    weights: dict[int, list[tuple[int, int]]] = {}
    for number, found in learned.items():
        for column, weight in zip(found.columns, found.weights, strict=True):
            weights.setdefault(column, []).append((number, weight))
    rows = {
        name: FeatureRow(round(UNIT * float(vectors.idf[column])), weights.get(column, ()))
        for column, name in enumerate(vectors.names)
    }
    return LinearModel(rows, {number: found.bias for number, found in learned.items()})
