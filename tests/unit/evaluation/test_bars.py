"""The release gate and the file of its bars."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from assistant.errors import NotesError
from assistant.evaluation.bars import Bar, Bars, figures_of, gate_json, gate_text, judge, read_bars
from assistant.evaluation.calibration import Calibration
from assistant.evaluation.report import Report
from assistant.evaluation.run import summarize
from assistant.evaluation.statistics import Share
from tests.unit.evaluation.making import comparison, labelled, outcome

SHIPPED = Path(__file__).resolve().parents[3] / "eval" / "bars.json"
BARS = [Bar("P@1", "at_least", 0.8), Bar("false answers", "at_most", 0.1), Bar("talks", "at_least", 0.5)]


def write(path: Path, **changes: Any) -> Path:
    data = {"comment": "why", "split": "tune", "bars": [{"figure": "P@1", "at_least": 0.8}], **changes}
    path.write_text(json.dumps(data), "utf-8")
    return path


def test_a_figure_at_its_bar_passes_and_one_beyond_does_not() -> None:
    passed = [row.passed for row in judge(BARS, {"P@1": 0.8, "false answers": 0.1, "talks": 0.5})]
    assert passed == [True, True, True]
    missed = [row.passed for row in judge(BARS, {"P@1": 0.7999, "false answers": 0.1001, "talks": 0.4999})]
    assert missed == [False, False, False]


def test_what_is_not_measured_does_not_pass() -> None:
    judged = judge(BARS, {"P@1": 0.9, "false answers": 0.2})
    assert [row.passed for row in judged] == [True, False, False]
    assert gate_text(judged).splitlines() == [
        "ok     P@1            0.900, at least 0.8",
        "SHORT  false answers  0.200, at most 0.1",
        "SHORT  talks          not measured, at least 0.5",
        "2 of 3 bars not reached",
    ]
    assert gate_json(judged) == {
        "passed": False,
        "bars": [
            {"figure": "P@1", "at_least": 0.8, "value": 0.9, "passed": True},
            {"figure": "false answers", "at_most": 0.1, "value": 0.2, "passed": False},
            {"figure": "talks", "at_least": 0.5, "value": None, "passed": False},
        ],
    }
    assert gate_text(judge(BARS[:1], {"P@1": 1.0})).splitlines()[-1] == "all 1 bars reached"


def test_bars_are_read(tmp_path: Path) -> None:
    bars = [{"figure": "P@1", "at_least": 1}, {"figure": "P@1", "at_most": 1}]
    assert read_bars(write(tmp_path / "b.json", bars=bars)) == Bars(
        "tune", (Bar("P@1", "at_least", 1.0), Bar("P@1", "at_most", 1.0))
    )


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"split": "other"}, "needs 'split': tune"),
        ({"split": "sealed"}, "needs 'split': tune"),
        ({"split": "all"}, "needs 'split': tune"),
        ({"bars": []}, "needs 'bars'"),
        ({"bars": {"P@1": 0.8}}, "needs 'bars'"),
        ({"bars": ["P@1"]}, "bar 1 needs"),
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
    short = [row for row in judge(read_bars(SHIPPED).bars, saved) if row.value is not None and not row.passed]
    assert short == []
