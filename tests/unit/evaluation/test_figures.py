"""Figures with their intervals, drawn by note where they are no shares."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.metrics import brier_score_loss, roc_auc_score

from assistant.evaluation.calibration import calibrate
from assistant.evaluation.figures import _auroc, _brier, figures_of, measured
from assistant.evaluation.report import Report
from assistant.evaluation.risk import stated
from assistant.evaluation.run import summarize
from tests.unit.evaluation.making import comparison, labelled, outcome


def report(rows: Sequence[tuple[str, bool, float]]) -> Report:
    """Return a report of questions, each with its note, whether it comes first, and the confidence."""
    found = []
    for number, (note, right, confidence) in enumerate(rows):
        made = outcome(labelled(f"q{number}", notes=(note,)), [note, "z"] if right else ["z", note])
        found.append(replace(made, confidence=confidence))
    judged = stated(found)
    summary = summarize(found)
    calibration = calibrate([c for c, _ in judged], [right for _, right in judged])
    return Report("abc", "tune", summary.shares, summary.means, comparison(), calibration, tuple(found))


def drawn(count: int, notes: int) -> list[tuple[str, bool, float]]:
    source = random.Random(5)
    return [(f"n{number % notes}", source.random() < 0.7, source.random()) for number in range(count)]


ALL = ("P@1", "as shown: MRR", "confidence: Brier score", "confidence: AUROC", "confidence: AURC")


def test_every_figure_lies_within_its_interval() -> None:
    made = report(drawn(80, 20))
    found = measured(made, ALL)
    assert list(found) == [name for name in figures_of(made) if name in ALL]
    for name, figure in found.items():
        assert figure.value == figures_of(made)[name]
        assert 0 <= figure.low < figure.value < figure.high <= 1
    assert measured(made, ALL) == found
    assert found["P@1"][1:] == made.shares["P@1"].interval()


def test_only_what_is_named_and_measured_is_returned() -> None:
    assert set(measured(report(drawn(10, 5)), {"P@1", "P@1 long", "no such"})) == {"P@1"}


def test_questions_on_one_note_stand_and_fall_together() -> None:
    """Two notes of twenty questions, one all right and one all wrong, against forty notes."""
    rows = [("a", True, 0.9)] * 20 + [("b", False, 0.4)] * 20
    apart = [(f"n{number}", right, confidence) for number, (_, right, confidence) in enumerate(rows)]
    wide, narrow = (measured(report(some), {"as shown: MRR"})["as shown: MRR"] for some in (rows, apart))
    assert (wide.low, wide.high) == (0.5, 1.0)
    assert 0.5 < narrow.low < narrow.high < 1.0


def test_where_one_note_alone_is_asked_for_the_interval_has_no_width() -> None:
    found = measured(report([("a", True, 0.9), ("a", False, 0.2)]), {"as shown: MRR"})["as shown: MRR"]
    assert found.low == found.value == found.high == 0.75


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 10)), min_size=2, max_size=30))
def test_the_scores_of_a_draw_are_those_of_scikit_learn(rows: list[tuple[bool, int]]) -> None:
    right = np.asarray([right for right, _ in rows])
    confidence = np.asarray([confidence / 10 for _, confidence in rows])
    if right.all() or not right.any():
        assert np.isnan(_auroc(right, confidence))
        return
    assert _auroc(right, confidence) == pytest.approx(roc_auc_score(right, confidence))
    assert _brier(right, confidence) == pytest.approx(brier_score_loss(right, confidence))
