"""Lines as rows of a matrix: words with their pairs, and runs of letters, weighed by how rare they are."""

from __future__ import annotations

import shutil
import tempfile
import weakref
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
from scipy.sparse import csr_matrix, hstack, vstack
from sklearn.feature_extraction.text import TfidfTransformer

from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.compiling.counted import AT_ONCE, Grams, WordPairs, read_lines
from assistant.compiling.settings import LinearSettings
from assistant.errors import PackError
from assistant.languages import language_of

__all__ = ["Vectors"]

_MANY_LINES = 4000
"""From so many lines on a feature that hardly any line has is left out."""


class Vectors:
    """Turns lines into rows of a matrix: words with their pairs, and runs of letters, each side of length 1.

    Parameters
    ----------
    short
        Whether numbers take four bytes each, not eight, and the matrix lies in files that all processes share, which
        go with this object.

    Attributes
    ----------
    matrix
        A row for each line, shape (lines, features).
    names
        The feature of each column.
    idf
        Of each column, shape (features,).

    Raises
    ------
    PackError
        If the matrix is to lie in files that cannot be written.
    """

    def __init__(self, lines: Collection[str], settings: LinearSettings, *, short: bool = False) -> None:
        many = len(lines) >= _MANY_LINES
        self._dtype = np.float32 if short else np.float64
        self._language = language_of(settings.language)
        read = read_lines(lines, self._language)
        sides: list[WordPairs | Grams] = [
            WordPairs(read, settings.word_texts if many else 1, self._dtype),
            Grams(read, settings.gram_texts if many else 1, self._dtype),
        ]
        self._scales = [_scale(side.frequency, len(lines), self._dtype) for side in sides]
        self._columns: list[dict[str, int]] = []
        self._side_names = [side.names for side in sides]
        self.names = [name for side in sides for name in side.names]
        self.idf = np.concatenate([scale.idf_ for scale in self._scales])
        blocks = (
            self._weighed([side.counts(start, start + AT_ONCE) for side in sides])
            for start in range(0, len(lines), AT_ONCE)
        )
        total = sum(int(side.frequency.sum()) for side in sides)
        self.matrix = self._in_files(blocks, total) if short else vstack(list(blocks), format="csr")

    def rows(self, lines: Sequence[str]) -> Any:
        """Return the rows of other lines, shape (lines, features); features that are new to it count for nothing."""
        self._columns = self._columns or [{name: n for n, name in enumerate(names)} for names in self._side_names]
        read = [tokenize(line, self._language) for line in lines]
        counts = []
        for features, columns in zip((word_features, _grams), self._columns, strict=True):
            held = [Counter(columns[name] for name in features(words) if name in columns) for words in read]
            counts.append(_rows_of(held, len(columns), self._dtype))
        return self._weighed(counts)

    def _weighed(self, counts: Iterable[Any]) -> Any:
        return hstack([scale.transform(held) for scale, held in zip(self._scales, counts, strict=True)], format="csr")

    def _in_files(self, blocks: Iterable[Any], total: int) -> Any:
        """Return the matrix of some blocks; what is written to a full disk is told, not noticed when it is read."""
        folder = Path(tempfile.mkdtemp())
        weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)
        index = np.int32 if total <= np.iinfo(np.int32).max else np.int64
        ends = [np.zeros(1, dtype=index)]
        try:
            with (folder / "data").open("wb") as data, (folder / "indices").open("wb") as indices:
                for block in blocks:
                    _write(data, block.data)
                    _write(indices, block.indices.astype(index, copy=False))
                    ends.append((block.indptr[1:] + ends[-1][-1]).astype(index))
        except OSError as error:
            raise PackError(f"{folder}:1: cannot be written: {error.strerror or error}") from error
        parts = (
            np.memmap(folder / name, dtype=kind, mode="r", shape=(total,)) if total else np.empty(0, dtype=kind)
            for name, kind in (("data", self._dtype), ("indices", index))
        )
        starts = np.concatenate(ends)
        return csr_matrix((*parts, starts), shape=(len(starts) - 1, len(self.names)))


def _grams(words: Sequence[str]) -> list[str]:
    return [gram for word in words for gram in grams(word)]


def _scale(frequency: Any, lines: int, dtype: Any) -> TfidfTransformer:
    """Return what weighs counts by sublinear TF-IDF, as `TfidfTransformer` has it, each row of length 1."""
    scale = TfidfTransformer(sublinear_tf=True)
    scale.idf_ = np.log(np.full(len(frequency), lines + 1, dtype=dtype) / (frequency.astype(dtype) + dtype(1))) + 1
    return scale


def _write(file: BinaryIO, values: Any) -> None:
    file.write(memoryview(values).cast("B"))


def _rows_of(held: Sequence[Counter[int]], width: int, dtype: Any) -> Any:
    columns = [sorted(counts) for counts in held]
    values = [counts[column] for counts, found in zip(held, columns, strict=True) for column in found]
    ends = np.cumsum([0, *map(len, columns)])
    flat = np.array([column for found in columns for column in found], dtype=np.int32)
    return csr_matrix((np.array(values, dtype=dtype), flat, ends), shape=(len(held), width))
