"""Ranking measures by hand."""

from __future__ import annotations

import math

import pytest

from assistant.evaluation.measures import MEASURES, per_query, ranking_measures

QRELS = {"q1": {"a": 1, "b": 1}, "q2": {"c": 1}}
RUN = {"q1": {"a": 3.0, "x": 2.0, "b": 1.0}, "q2": {"x": 2.0, "c": 1.0}}
IDEAL = 1 + 1 / math.log2(3)


@pytest.mark.parametrize(
    ("name", "first", "second"),
    [
        ("P@1", 1, 0),
        ("P@3", 2 / 3, 1 / 3),
        ("P@5", 2 / 5, 1 / 5),
        ("MRR", 1, 1 / 2),
        ("MAP", (1 + 2 / 3) / 2, 1 / 2),
        ("nDCG@10", (1 + 1 / 2) / IDEAL, 1 / math.log2(3)),
        ("success@1", 1, 0),
        ("success@3", 1, 1),
        ("success@5", 1, 1),
    ],
)
def test_each_measure_by_hand(name: str, first: float, second: float) -> None:
    assert per_query(QRELS, RUN, name) == pytest.approx({"q1": first, "q2": second})
    assert ranking_measures(QRELS, RUN, (name,)) == pytest.approx({name: (first + second) / 2})


@pytest.mark.parametrize("name", sorted(MEASURES))
@pytest.mark.parametrize("missing", [{"q1": RUN["q1"]}, {"q1": RUN["q1"], "q2": {}}], ids=["absent", "empty"])
def test_a_judged_question_without_results_counts_nothing(name: str, missing: dict[str, dict[str, float]]) -> None:
    alone = ranking_measures({"q1": QRELS["q1"]}, RUN, (name,))[name]
    assert alone > 0
    assert per_query(QRELS, missing, name)["q2"] == 0
    assert ranking_measures(QRELS, missing, (name,)) == pytest.approx({name: alone / 2})


def test_a_question_that_nobody_judged_is_left_out() -> None:
    more = {**RUN, "q3": {"a": 1.0}}
    assert per_query(QRELS, more, "P@1") == per_query(QRELS, RUN, "P@1")
    assert ranking_measures(QRELS, more) == ranking_measures(QRELS, RUN)


def test_no_results_at_all_count_nothing() -> None:
    assert set(ranking_measures(QRELS, {}).values()) == {0.0}
    assert per_query(QRELS, {}, "MRR") == {"q1": 0.0, "q2": 0.0}
