from __future__ import annotations

import pytest

from assistant.evaluation.calibration import calibrate


def test_worked_example() -> None:
    """scikit-learn user guide, roc_auc_score: labels 0, 0, 1, 1 with scores .1, .4, .35, .8 give .75 (from memory)."""
    found = calibrate([0.1, 0.4, 0.35, 0.8], [False, False, True, True])
    assert found is not None
    assert found.auroc == pytest.approx(0.75)
    assert found.brier == pytest.approx((0.01 + 0.16 + 0.4225 + 0.04) / 4)
    assert [(b.low, b.right.k, b.right.n) for b in found.bins] == [(0.0, 0, 1), (0.2, 1, 1), (0.4, 0, 1), (0.8, 1, 1)]


def test_full_confidence_lies_in_the_last_bin() -> None:
    found = calibrate([1.0, 0.95, 0.0], [True, True, False])
    assert found is not None
    assert [(b.high, b.right.n) for b in found.bins] == [(0.2, 1), (1.0, 2)]


def test_one_outcome_tells_nothing() -> None:
    assert calibrate([0.5, 0.6], [True, True]) is None
