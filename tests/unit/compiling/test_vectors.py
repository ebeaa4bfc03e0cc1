"""Lines as rows: counted by blocks, weighed as scikit-learn weighs them, and held in files where they are many."""

from __future__ import annotations

import errno
import gc
import tempfile
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
from scipy.sparse import hstack
from sklearn.feature_extraction.text import TfidfVectorizer

from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.compiling import counted
from assistant.compiling import vectors as vectors_module
from assistant.compiling.vectors import Vectors
from assistant.errors import PackError
from tests.making import plain_settings

SETTINGS = plain_settings().linear
WORDS = ("pad", "stick", "lamp", "is", "dark", "torn", "the", "usb-c", "can't", "4k", "again", "\u00fcber", "x")


def made_lines(number: int) -> list[str]:
    """Return different lines, one of them without a word, in which words and pairs stand more than once."""
    random = Random(3)
    lines = {"?": None}
    while len(lines) < number:
        lines[" ".join(random.choices(WORDS, k=random.randrange(1, 12)))] = None
    return list(lines)


LINES = made_lines(300)


def by_scikit_learn(least: tuple[int, int], dtype: Any) -> tuple[Any, list[str], Any]:
    """Return matrix, names and idf as `TfidfVectorizer` has them, side by side."""
    read = [tokenize(line) for line in LINES]
    sides = [
        TfidfVectorizer(analyzer=analyzer, sublinear_tf=True, min_df=few, dtype=dtype)
        for analyzer, few in zip(
            (word_features, lambda words: [g for w in words for g in grams(w)]), least, strict=True
        )
    ]
    matrix = hstack([side.fit_transform(read) for side in sides], format="csr")
    names = [str(name) for side in sides for name in side.get_feature_names_out()]
    return matrix, names, np.concatenate([side.idf_ for side in sides])


@pytest.mark.parametrize("short", [False, True])
@pytest.mark.parametrize("many", [False, True])
@pytest.mark.parametrize("at_once", [1, 64, 1000])
def test_rows_are_those_of_scikit_learn_to_the_last_bit_and_in_their_order(
    short: bool, many: bool, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is learned of them hangs on the order in which they are added up."""
    for module in (vectors_module, counted):
        monkeypatch.setattr(module, "AT_ONCE", at_once)
    monkeypatch.setattr(vectors_module, "_MANY_LINES", len(LINES) if many else len(LINES) + 1)
    least = (SETTINGS.word_texts, SETTINGS.gram_texts)
    matrix, names, idf = by_scikit_learn(least if many else (1, 1), np.float32 if short else np.float64)
    found = Vectors(LINES, SETTINGS, short=short)
    assert found.names == names
    assert found.matrix.dtype == matrix.dtype
    assert np.array_equal(found.idf, idf)
    assert found.matrix.shape == matrix.shape
    for part in ("indptr", "indices", "data"):
        assert np.array_equal(getattr(found.matrix, part), getattr(matrix, part)), part


def test_rows_of_other_lines_are_those_of_the_same_lines() -> None:
    found = Vectors(LINES, SETTINGS)
    again = found.rows(LINES)
    assert abs(again - found.matrix).max() < 1e-12
    assert again.has_sorted_indices
    assert found.rows(["qqq", "", "the qqq"]).getnnz(axis=1).tolist()[:2] == [0, 0]


def files(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.glob("*/*"))


def test_a_short_matrix_lies_in_files_that_go_with_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    Vectors(LINES, SETTINGS)
    assert not files(tmp_path)
    found = Vectors(LINES, SETTINGS, short=True)
    assert files(tmp_path) == ["data", "indices"]
    del found
    gc.collect()
    assert not list(tmp_path.iterdir())


def test_a_disk_that_is_full_is_told_where_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(vectors_module, "_write", full)
    with pytest.raises(PackError, match=r"^.*/\w+:1: cannot be written: No space left on device$"):
        Vectors(LINES, SETTINGS, short=True)
    gc.collect()
    assert not list(tmp_path.iterdir())
