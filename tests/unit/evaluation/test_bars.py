"""The release gate and the file of its bars."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError
from assistant.evaluation.bars import (
    Bar,
    Bars,
    aim_json,
    aims_of,
    first_bars,
    gate_json,
    gate_text,
    judge,
    read_bars,
)
from assistant.evaluation.calibration import Calibration
from assistant.evaluation.figures import Figure, figures_of, measured
from assistant.evaluation.report import Report, less_is_better
from assistant.evaluation.run import summarize
from assistant.evaluation.statistics import Share
from tests.unit.evaluation.making import comparison, labelled, outcome

SHIPPED = Path(__file__).resolve().parents[3] / "eval" / "bars.json"
BARS = [Bar("P@1", "at_least", 0.8), Bar("false answers", "at_most", 0.1), Bar("talks", "at_least", 0.5)]


def write(path: Path, **changes: Any) -> Path:
    data = {"comment": "why", "split": "tune", "bars": [{"figure": "P@1", "at_least": 0.8}], **changes}
    path.write_text(json.dumps(data), "utf-8")
    return path


def exactly(**values: float) -> dict[str, Figure]:
    """Return figures of no width."""
    return {name.replace("_", " "): Figure(value, value, value) for name, value in values.items()}


def test_a_figure_at_its_bar_passes_and_one_beyond_does_not() -> None:
    passed = [
        row.passed for row in judge(BARS, {"P@1": Figure(0.8, 0.8, 0.8), **exactly(false_answers=0.1, talks=0.5)})
    ]
    assert passed == [True, True, True]
    beyond = {"P@1": Figure(0.7999, 0.7999, 0.7999), **exactly(false_answers=0.1001, talks=0.4999)}
    assert [row.passed for row in judge(BARS, beyond)] == [False, False, False]


def test_a_bar_is_missed_where_the_whole_interval_lies_on_its_wrong_side() -> None:
    least, most, _ = BARS
    for bar, figure, result in (
        (least, Figure(0.7, 0.5, 0.8), "within its interval"),
        (least, Figure(0.7, 0.5, 0.7999), "not reached"),
        (least, Figure(0.8, 0.6, 0.9), "reached"),
        (most, Figure(0.2, 0.1, 0.4), "within its interval"),
        (most, Figure(0.2, 0.1001, 0.4), "not reached"),
        (most, Figure(0.05, 0.0, 0.4), "reached"),
    ):
        (row,) = judge([bar], {bar.figure: figure})
        assert (row.result, row.passed, row.reached) == (result, result != "not reached", result == "reached")


def test_a_share_misses_its_bar_by_the_exact_interval() -> None:
    """Clopper and Pearson: of 0 right in 5 the upper end is 1 - .025 ** (1 / 5) = .5218."""
    found = measured(with_share(Share(0, 5)), {"P@1"})
    assert found["P@1"].high == pytest.approx(1 - 0.025 ** (1 / 5))
    assert [judge([Bar("P@1", "at_least", bar)], found)[0].passed for bar in (0.52, 0.53)] == [True, False]


def test_what_is_not_measured_does_not_pass() -> None:
    judged = judge(BARS, {"P@1": Figure(0.9, 0.8, 1.0), **exactly(false_answers=0.2)})
    assert [row.passed for row in judged] == [True, False, False]
    assert gate_text(judged).splitlines() == [
        "ok     P@1            0.900 [0.800, 1.000], at least 0.8",
        "SHORT  false answers  0.200 [0.200, 0.200], at most 0.1",
        "SHORT  talks          not measured, at least 0.5",
        "2 of 3 bars not reached",
    ]
    assert gate_json(judged) == {
        "passed": False,
        "bars": [
            {
                "figure": "P@1",
                "at_least": 0.8,
                "value": 0.9,
                "interval": [0.8, 1.0],
                "passed": True,
                "reached": True,
            },
            {
                "figure": "false answers",
                "at_most": 0.1,
                "value": 0.2,
                "interval": [0.2, 0.2],
                "passed": False,
                "reached": False,
            },
            {
                "figure": "talks",
                "at_least": 0.5,
                "value": None,
                "interval": None,
                "passed": False,
                "reached": False,
            },
        ],
    }
    assert gate_text(judge(BARS[:1], {"P@1": Figure(1.0, 1.0, 1.0)})).splitlines()[-1] == "1 bar reached"
    near = gate_text(judge(BARS[:1], {"P@1": Figure(0.7, 0.5, 0.9)})).splitlines()
    assert near == [
        "near   P@1  0.700 [0.500, 0.900], at least 0.8",
        "1 bar reached; 1 of them by its interval alone",
    ]


def test_an_aim_is_held_against_the_sealed_figure_where_there_is_one_and_shuts_no_gate() -> None:
    aims = [Bar("a", "at_least", 0.9), Bar("b", "at_most", 0.1), Bar("c", "at_least", 0.5), Bar("d", "at_least", 0.5)]
    found = aims_of(aims, {"a": 0.95, "b": 0.2, "c": 0.6}, {"a": 0.85, "b": 0.05})
    assert [(aim.bar.figure, aim.missed) for aim in found] == [("a", True), ("d", True), ("b", False), ("c", False)]
    assert str(found[0]) == "a: tune 0.950, sealed 0.850; aim at least 0.9"
    assert str(found[1]) == "d: not measured; aim at least 0.5"
    assert aim_json(found[2]) == {"figure": "b", "at_most": 0.1, "tune": 0.2, "sealed": 0.05, "missed": False}


def test_first_bars_lie_two_questions_short_of_what_was_measured(tmp_path: Path) -> None:
    figures = {"P@1": 0.9, "false answers": 0.1, "as shown: MRR": 0.95, "confidence: Brier score": 0.06, "rare": 0.5}
    made = first_bars(figures, {"P@1": 40, "false answers": 10, "rare": 9}, less_is_better)
    path = tmp_path / "b.json"
    path.write_text(json.dumps(made), "utf-8")
    bars = {bar.figure: (bar.end, bar.value) for bar in read_bars(path).bars}
    assert bars["P@1"] == ("at_least", 0.85)
    assert bars["false answers"] == ("at_most", 0.3)
    assert bars["as shown: MRR"] == ("at_least", 0.945)
    assert bars["confidence: Brier score"] == ("at_most", 0.065)
    assert "rare" not in bars, "of nine questions two are too many to be short of"
    assert all(row.reached for row in judge(read_bars(path).bars, {n: Figure(v, v, v) for n, v in figures.items()}))


def test_bars_are_read(tmp_path: Path) -> None:
    bars = [{"figure": "P@1", "at_least": 1}, {"figure": "P@1", "at_most": 1}]
    assert read_bars(write(tmp_path / "b.json", bars=bars)) == Bars(
        "tune", (Bar("P@1", "at_least", 1.0), Bar("P@1", "at_most", 1.0))
    )
    aims = [{"figure": "P@1", "at_least": 1}]
    assert read_bars(write(tmp_path / "b.json", aims=aims)).aims == (Bar("P@1", "at_least", 1.0),)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"split": "other"}, "needs 'split': tune"),
        ({"split": "sealed"}, "needs 'split': tune"),
        ({"split": "all"}, "needs 'split': tune"),
        ({"bars": []}, "needs 'bars'"),
        ({"bars": {"P@1": 0.8}}, "needs 'bars'"),
        ({"bars": ["P@1"]}, "bar 1 needs"),
        ({"aims": "P@1"}, "needs 'aims'"),
        ({"aims": [{"figure": "a"}]}, "aim 1 needs"),
        ({"bars": [{"figure": "a", "at_least": 0.1}, {"figure": "b"}]}, "bar 2 needs"),
        ({"bars": [{"figure": "a", "at_least": 0.1, "at_most": 0.2}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": True}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": 10**400}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_most": -1e300}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_most": 1e400}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_most": float("nan")}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": "0.1"}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": float("nan")}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": 0.1, "note": "x"}]}, "bar 1 needs"),
        ({"bars": [{"figure": "a", "at_least": 0.1}, {"figure": "a", "at_least": 0.2}]}, "two bars of a kind"),
    ],
)
def test_a_file_of_another_form_is_refused(tmp_path: Path, changes: dict[str, Any], message: str) -> None:
    path = write(tmp_path / "b.json", **changes)
    with pytest.raises(NotesError) as caught:
        read_bars(path)
    assert str(caught.value).startswith(f"{path}:1: {message}") or message in str(caught.value)


@pytest.mark.parametrize("content", ["{", "[]", "3", ""])
def test_what_is_no_object_is_refused(tmp_path: Path, content: str) -> None:
    path = tmp_path / "b.json"
    path.write_text(content, "utf-8")
    with pytest.raises(NotesError):
        read_bars(path)
    with pytest.raises(NotesError, match="cannot be read"):
        read_bars(tmp_path / "none.json")


def report() -> Report:
    found = [
        outcome(labelled("p"), "ab"),
        outcome(labelled("n", manner="noisy"), "ba"),
        outcome(labelled("u", manner="uncovered", notes=(), kind="off"), "a"),
    ]
    summary = summarize(found)
    shares = {**summary.shares, **{name: Share(1, 1) for name in TALKS}}
    return Report("abc", "tune", shares, summary.means, comparison(), Calibration((), 0.1, 0.9), tuple(found))


def with_share(share: Share) -> Report:
    made = report()
    return Report(**{**{name: getattr(made, name) for name in made.__slots__}, "shares": {**made.shares, "P@1": share}})


TALKS = ("talks: turn right", "talks: later turn right", "new questions that leave the note in hand")


def test_every_kind_of_figure_can_have_a_bar() -> None:
    figures = figures_of(report())
    assert figures["P@1"] == 0.5
    assert figures["as shown: MRR"] == 0.75
    assert (figures["confidence: Brier score"], figures["confidence: AUROC"]) == (0.1, 0.9)
    assert figures["confidence: AURC"] == pytest.approx(2 / 3)
    assert "P@1 long" not in figures


def test_the_shipped_bars_are_for_figures_that_there_are() -> None:
    bars = read_bars(SHIPPED)
    assert bars.split == "tune"
    named = {*report().shares, *figures_of(report())}
    assert {bar.figure for bar in bars.bars} <= named
    worse = [bar for bar in bars.bars if (bar.end == "at_most") != ("false" in bar.figure or "wrong" in bar.figure)]
    assert {bar.figure for bar in worse} == {
        "confidence: Brier score",
        "confidence: AURC",
        "cries of harm refused",
        "look-alikes answered with a note on harm",
    }
    assert "never lowered without a reason" in json.loads(SHIPPED.read_text("utf-8"))["comment"]


def test_the_saved_figures_reach_the_shipped_bars() -> None:
    saved = json.loads(SHIPPED.with_name("baseline.json").read_text("utf-8"))["splits"]["tune"]
    figures = {name: Figure(value, value, value) for name, value in saved.items()}
    short = [row for row in judge(read_bars(SHIPPED).bars, figures) if row.value is not None and not row.reached]
    assert short == []
