"""Risk against coverage, the table of bars, and which questions count."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.evaluation.risk import answered_outright, confidences, risk_curve, stated, threshold_table
from assistant.evaluation.run import Outcome
from tests.unit.evaluation.making import labelled, outcome

PAIRS = st.lists(st.tuples(st.sampled_from((0.1, 0.3, 0.5, 0.9)), st.booleans()), min_size=1, max_size=30)
PLAIN = labelled("p")


def sure(found: Outcome, confidence: float) -> Outcome:
    return replace(found, confidence=confidence)


def mean_risk(rights: list[bool]) -> float:
    """Return the mean over 1, 2, ... n answered of the share of wrong ones, in the given order."""
    return sum(rights[: n + 1].count(False) / (n + 1) for n in range(len(rights))) / len(rights)


def test_the_curve_by_hand() -> None:
    """Right, right, wrong, right: risks 0, 0, 1/3, 1/4."""
    curve = risk_curve([(0.5, True), (0.9, True), (0.7, False), (0.8, True)])
    assert curve is not None
    assert [p.confidence for p in curve.points] == [0.9, 0.8, 0.7, 0.5]
    assert [p.coverage for p in curve.points] == [0.25, 0.5, 0.75, 1.0]
    assert [p.risk for p in curve.points] == pytest.approx([0, 0, 1 / 3, 1 / 4])
    assert curve.aurc == pytest.approx((1 / 3 + 1 / 4) / 4)
    assert curve.best == pytest.approx(1 / 4 / 4)


@given(st.lists(st.tuples(st.sampled_from((0.2, 0.7)), st.booleans()), min_size=1, max_size=6))
def test_equal_confidence_counts_as_the_mean_over_all_orders(judged: list[tuple[float, bool]]) -> None:
    curve = risk_curve(judged)
    assert curve is not None
    high = [right for confidence, right in judged if confidence == 0.7]
    low = [right for confidence, right in judged if confidence == 0.2]
    orders = [mean_risk([*first, *then]) for first in permutations(high) for then in permutations(low)]
    assert curve.aurc == pytest.approx(sum(orders) / len(orders))


@given(PAIRS)
def test_the_curve_depends_on_no_order_and_lies_within_bounds(judged: list[tuple[float, bool]]) -> None:
    curve = risk_curve(judged)
    assert curve == risk_curve(sorted(judged, key=lambda pair: pair[1])) == risk_curve(judged[::-1])
    assert curve is not None
    rights = sorted((right for _, right in judged), reverse=True)
    assert curve.best == pytest.approx(mean_risk(rights))
    assert curve.best - 1e-12 <= curve.aurc <= mean_risk(rights[::-1]) + 1e-12
    assert curve.points[-1].coverage == 1.0
    assert curve.points[-1].risk == pytest.approx(rights.count(False) / len(rights))
    assert [p.coverage for p in curve.points] == sorted(p.coverage for p in curve.points)


def test_no_question_gives_no_curve() -> None:
    assert risk_curve([]) is None
    assert answered_outright([]) is None


@given(PAIRS)
def test_every_bar_counts_every_question_once(judged: list[tuple[float, bool]]) -> None:
    rows = threshold_table(judged, (0.0, 0.3, 0.6, 1.0))
    for row in rows:
        assert row.answered == row.right + row.wrong == sum(confidence >= row.at for confidence, _ in judged)
        assert row.answered + row.none == len(judged)
        assert row.right + row.held_back == sum(right for _, right in judged)
    assert [row.answered for row in rows] == sorted((row.answered for row in rows), reverse=True)


def test_ambiguous_questions_and_alarms_do_not_count() -> None:
    found = [
        sure(outcome(PLAIN, "ab"), 0.9),
        sure(outcome(PLAIN, "ba", "choose"), 0.4),
        sure(outcome(labelled("u", manner="uncovered", notes=(), kind="off"), "a"), 0.6),
        sure(outcome(labelled("v", manner="ambiguous", notes=("a", "b")), "ab"), 0.7),
        sure(outcome(labelled("d", danger="safety-x"), ["safety-x"], safety_first=True), 0.1),
    ]
    assert confidences(found) == [(0.9, True), (0.4, False), (0.6, False)]
    assert stated(found) == [(0.9, True), (0.4, False), (0.6, False)]
    assert answered_outright(found) == pytest.approx((2 / 3, 1 / 2))


def test_beside_a_refusal_the_probability_is_that_a_note_covers_the_question() -> None:
    uncovered = labelled("u", manner="uncovered", notes=(), kind="off")
    found = [sure(outcome(PLAIN, "ba", "none"), 0.3), sure(outcome(uncovered, "a", "none"), 0.1)]
    assert stated(found) == [(0.3, True), (0.1, False)]
    assert confidences(found) == [(0.3, False), (0.1, False)]


def test_nothing_answered_is_no_risk() -> None:
    assert answered_outright([outcome(PLAIN, "ab", "choose")]) == (0.0, 0.0)
