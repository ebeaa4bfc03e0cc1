"""Lines as rows of a matrix: words with their pairs, and runs of letters, weighed by how rare they are."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cache
from sys import intern
from typing import Any

import numpy as np
from scipy.sparse import hstack
from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.compiling.settings import LinearSettings

__all__ = ["Vectors"]

_MANY_LINES = 4000
"""From so many lines on a feature that hardly any line has is left out."""


class Vectors:
    """Turns lines into rows of a matrix: words with their pairs, and runs of letters, each side of length 1.

    Parameters
    ----------
    short
        Whether numbers take four bytes each, not eight.

    Attributes
    ----------
    matrix
        A row for each line, shape (lines, features).
    names
        The feature of each column.
    idf
        Of each column, shape (features,).
    """

    def __init__(self, lines: Collection[str], settings: LinearSettings, *, short: bool = False) -> None:
        many = len(lines) >= _MANY_LINES
        self._sides = [
            TfidfVectorizer(
                analyzer=analyzer,
                sublinear_tf=True,
                min_df=least if many else 1,
                dtype=np.float32 if short else np.float64,
            )
            for analyzer, least in ((word_features, settings.word_texts), (_Grams(), settings.gram_texts))
        ]
        read = _read(lines)
        self.matrix = _joined([side.fit_transform(read) for side in self._sides])
        self.names = [str(name) for side in self._sides for name in side.get_feature_names_out()]
        self.idf = np.concatenate([side.idf_ for side in self._sides])

    def rows(self, lines: Sequence[str]) -> Any:
        """Return the rows of other lines, shape (lines, features); features that are new to it count for nothing."""
        read = _read(lines)
        return _joined([side.transform(read) for side in self._sides])


class _Grams:
    """The runs of letters of words; the same words come again and again."""

    def __init__(self) -> None:
        self._of = cache(grams)

    def __call__(self, words: Sequence[str]) -> list[str]:
        return [gram for word in words for gram in self._of(word)]


def _read(lines: Iterable[str]) -> list[list[str]]:
    return [[intern(word) for word in tokenize(line)] for line in lines]


def _joined(sides: Sequence[Any]) -> Any:
    return hstack(sides, format="csr")
