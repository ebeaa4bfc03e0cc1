"""The Cranfield collection: 1,400 abstracts and 225 questions with judgements."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from assistant.evaluation.collection import Collection, read_collection
from assistant.evaluation.compare import OURS, Comparison
from tests.outside.rankings import figures, ranked

MEASURE = "nDCG@10"
BESIDE = Path(__file__).parents[3] / "shared" / "collections"


@pytest.fixture(scope="module")
def cranfield() -> Collection:
    folder = Path(os.environ.get("ASSISTANT_COLLECTIONS") or BESIDE) / "cranfield"
    if not folder.is_dir():
        pytest.skip(f"the collection is absent: {folder} (ASSISTANT_COLLECTIONS names the folder that holds it)")
    return read_collection(folder)


@pytest.fixture(scope="module")
def comparison(cranfield: Collection, tmp_path_factory: pytest.TempPathFactory) -> Comparison:
    return ranked(cranfield, tmp_path_factory.mktemp("cranfield"), (MEASURE, "MAP", "success@1"))


def test_the_collection_is_whole(cranfield: Collection) -> None:
    """Cleverdon, The Cranfield tests on index language devices (1967): 1,400 documents, 225 questions."""
    assert (len(cranfield.documents), len(cranfield.qrels)) == (1400, 225)


def test_ours_reaches_what_it_reached(comparison: Comparison) -> None:
    """Cranfield collection; plain BM25 comes to about .52."""
    ours = comparison.mean(OURS, MEASURE)
    assert ours >= 0.53, f"{MEASURE} {ours:.4f}{figures(comparison)}"


def test_ours_is_no_worse_than_any_baseline(comparison: Comparison) -> None:
    """Cranfield collection."""
    ours = comparison.mean(OURS, MEASURE)
    better = [name for name in comparison.values if comparison.mean(name, MEASURE) > ours]
    assert better == [], figures(comparison)
