"""The report as text and JSON, and the gate against a saved baseline."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from assistant.errors import NotesError
from assistant.evaluation.calibration import Bin, Calibration
from assistant.evaluation.labels import MANNERS, Talk, TalkTurn
from assistant.evaluation.report import (
    TOLERANCE,
    Report,
    below_baseline,
    comparison_json,
    comparison_lines,
    less_is_better,
    misses,
    report_json,
    report_runs,
    report_text,
    score_notes,
)
from assistant.evaluation.run import tallies
from assistant.evaluation.statistics import Share
from assistant.evaluation.texts import texts_of_pack
from assistant.pack.reader import Pack
from tests.making import Told
from tests.unit.evaluation.making import comparison, labelled, outcome

CALIBRATION = Calibration((Bin(0.8, 0.9, 0.85, Share(9, 10)),), 0.125, 0.75)
TALK = Talk("d1", (TalkTurn("display shows no signal", ("screen-no-signal",), "procedure"),), "tune")


@pytest.fixture
def report() -> Report:
    shares = {
        "P@1": Share(8, 10),
        "answered outright and wrong": Share(2, 10),
        "false refusals": Share(1, 10),
        "false answers junk": Share(0, 0),
    }
    return Report("abc123", "tune", shares, {"P@1": 0.8, "MRR": 0.85}, comparison(), CALIBRATION)


@pytest.fixture(scope="module")
def pack(mini_pack_path: Path) -> Iterator[Pack]:
    with Pack(mini_pack_path) as opened:
        yield opened


def saved(tmp_path: Path, **values: float) -> Path:
    path = tmp_path / "baseline.json"
    tune = {name.replace("_", " "): value for name, value in values.items()}
    path.write_text(json.dumps({"splits": {"tune": tune}}), "utf-8")
    return path


def test_the_text_gives_shares_with_intervals_and_leaves_out_what_was_not_asked(report: Report) -> None:
    lines = report_text(report).splitlines()
    assert lines[0] == "pack abc123, split tune; k/n with the exact 95 % interval"
    assert lines[2] == f"{'P@1':<27}  8/10 = 0.800 [0.444, 0.975]"
    assert "as shown to the rep: P@1 0.800, MRR 0.850" in lines
    assert lines[-2:] == [
        "confidence: Brier score 0.125, AUROC 0.750",
        "  stated 0.8 to 0.9, mean 0.85: right 9/10 = 0.900 [0.555, 0.997]",
    ]
    assert not any("junk" in line for line in lines)


def test_the_rankings_stand_side_by_side_with_the_paired_test() -> None:
    assert comparison_lines(comparison()) == [
        "ranking             P@1        MRR",
        "this program     0.6667     0.8333",
        "other            0.3333     0.5000",
        "P@1 this program: 2/3 = 0.667 [0.094, 0.992]",
        "P@1 other: 1/3 = 0.333 [0.008, 0.906]",
        "P@1 against the best baseline (other): higher by 0.3333, paired randomization p = 0.2500, n = 3",
    ]


def test_the_json_holds_the_same(report: Report) -> None:
    found = json.loads(json.dumps(report_json(report), allow_nan=False))
    assert list(found) == ["pack", "split", "shares", "means", "rankings", "look_again", "confidence"]
    assert found["confidence"] == {
        "brier": 0.125,
        "auroc": 0.75,
        "bins": [{"low": 0.8, "high": 0.9, "mean": 0.85, "k": 9, "n": 10, "holds": True}],
    }
    assert found["shares"]["P@1"]["k"] == 8
    assert found["shares"]["P@1"]["value"] == 0.8
    assert found["shares"]["P@1"]["interval"] == pytest.approx([0.4439, 0.9748], abs=1e-4)
    assert found["shares"]["false answers junk"] == {"k": 0, "n": 0, "value": 0.0, "interval": [0.0, 1.0]}
    assert found["rankings"] == comparison_json(comparison())
    assert found["rankings"]["measures"]["other"] == {"P@1": 0.3333, "MRR": 0.5}
    assert found["rankings"]["queries"] == 3
    assert (found["rankings"]["best_baseline"], found["rankings"]["p"]) == ("other", 0.25)


def test_as_good_as_before_passes(report: Report, tmp_path: Path) -> None:
    assert below_baseline(report, saved(tmp_path, **{"P@1": 0.8, "false_refusals": 0.1})) == []
    assert below_baseline(report, saved(tmp_path, **{"P@1": 0.5, "false_refusals": 0.4})) == []


def test_a_loss_within_the_tolerance_passes(report: Report, tmp_path: Path) -> None:
    assert below_baseline(report, saved(tmp_path, **{"P@1": 0.8 + TOLERANCE * 0.9})) == []
    assert below_baseline(report, saved(tmp_path, **{"P@1": 0.8 + TOLERANCE * 1.1})) != []


def test_a_fall_is_told(report: Report, tmp_path: Path) -> None:
    assert below_baseline(report, saved(tmp_path, **{"P@1": 0.9})) == ["P@1: was 0.900, is 0.800"]


def test_more_mistakes_are_told(report: Report, tmp_path: Path) -> None:
    path = saved(tmp_path, answered_outright_and_wrong=0.1, false_refusals=0.05)
    assert below_baseline(report, path) == [
        "answered outright and wrong: was 0.100, is 0.200",
        "false refusals: was 0.050, is 0.100",
    ]


@pytest.mark.parametrize(
    ("figure", "less"),
    [
        ("false answers", True),
        ("false answers near", True),
        ("false alarms", True),
        ("false refusals", True),
        ("answered outright and wrong", True),
        ("cries of harm refused", True),
        ("look-alikes answered with a note on harm", True),
        ("answered outright and right", False),
        ("cries of harm: safety note first", False),
        ("uncovered and told so", False),
        ("forbidden acts get the note that says no", False),
        ("new questions that leave the note in hand", False),
        ("talks: turn right", False),
    ],
)
def test_figures_that_count_mistakes_are_better_low(figure: str, less: bool) -> None:
    assert less_is_better(figure) is less


def test_every_figure_of_a_run_is_told_for_better_or_worse() -> None:
    """All that counts mistakes is named here, so that a new figure must be put on one side or the other."""
    found = [outcome(labelled("q", manner=manner), "a") for manner in MANNERS]
    assert {name for name in tallies(found) if less_is_better(name)} == {
        "answered outright and wrong",
        "false refusals",
        "false answers",
        "false answers near",
        "false answers off",
        "false answers junk",
        "cries of harm refused",
        "look-alikes answered with a note on harm",
        "false alarms",
    }


def test_a_figure_that_is_no_longer_measured_is_told(report: Report, tmp_path: Path) -> None:
    path = saved(tmp_path, gone=0.5, false_answers_junk=0.0)
    assert below_baseline(report, path) == [
        "gone: was 0.500, is no longer measured",
        "false answers junk: was 0.000, is no longer measured",
    ]


@pytest.mark.parametrize(
    "content",
    [
        "{",
        "[]",
        "{}",
        '{"splits": {"sealed": {}}}',
        '{"splits": 3}',
        '{"splits": {"tune": [1]}}',
        '{"splits": {"tune": {"P@1": "x"}}}',
    ],
)
def test_what_is_no_baseline_is_refused(report: Report, tmp_path: Path, content: str) -> None:
    path = tmp_path / "baseline.json"
    path.write_text(content, "utf-8")
    with pytest.raises(NotesError) as caught:
        below_baseline(report, path)
    assert [tuple(f) for f in caught.value.faults] == [(str(path), 1, "no saved baseline for the split 'tune'")]


def test_a_missing_baseline_is_refused(report: Report, tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="no saved baseline"):
        below_baseline(report, tmp_path / "none.json")


def test_only_the_chosen_split_is_scored(pack: Pack) -> None:
    questions = [
        labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
        labelled("q2", "wipe the sticky disc", notes=("disc-clean",), split="sealed"),
        labelled("q3", "outlet strip has no power", notes=("power-strip-dead",), split="sealed"),
    ]
    for split, n in (("tune", 1), ("sealed", 2)):
        told = Told()
        report = score_notes(pack, questions, [TALK], split, told)
        assert report.shares["P@1"].n == len(report.comparison.queries) == n
        assert report.shares["talks: turn right"].n == (split == "tune")
        assert report.shares["talks: later turn right"].n == 0
        assert told[0] == f"asking {n} questions"
        assert (report.pack, report.split) == (pack.digest, split)


def test_baselines_rank_the_texts_at_hand(pack: Pack) -> None:
    """With the text that says it a baseline finds the note; from the pack alone none does."""
    question = labelled("q1", "qqqq zzzz", notes=("disc-clean",))
    texts = [*texts_of_pack(pack), ("disc-clean", "qqqq zzzz")]
    alone, given = (score_notes(pack, [question], [], "tune", texts=at_hand).comparison for at_hand in (None, texts))
    others = [name for name in alone.values if name != "this program"]
    assert [alone.mean(name, "P@1") for name in others] == [0.0] * 3
    assert [given.mean(name, "P@1") for name in others] == [1.0] * 3


def test_no_figure_but_their_own_hangs_on_the_baselines(pack: Pack) -> None:
    questions = [
        labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
        labelled("q2", "wipe the sticky disc", notes=("screen-no-signal",)),
        labelled("q3", "who won the match", "uncovered", (), kind="off"),
    ]
    told = Told()
    ranked, alone = (score_notes(pack, questions, [TALK], "tune", told, ranked=ranked) for ranked in (True, False))
    assert (alone.shares, alone.means, alone.calibration) == (ranked.shares, ranked.means, ranked.calibration)
    assert (alone.outcomes, alone.turns) == (ranked.outcomes, ranked.turns)
    assert (len(ranked.comparison.values), alone.comparison.values, alone.comparison.queries) == (4, {}, ())
    lines = report_text(ranked).splitlines()
    assert set(report_text(alone).splitlines()) < set(lines)
    assert any(line.startswith("ranking ") for line in lines)


def test_the_note_of_the_danger_is_relevant_too(pack: Pack) -> None:
    """The label is wrong on purpose and only the danger is right."""
    question = labelled("q1", "battery swollen and hot", notes=("disc-clean",), danger="safety-swollen-cell")
    report = score_notes(pack, [question], [], "tune")
    assert report.comparison.mean("this program", "MRR") == 1.0


def test_misses_name_question_what_came_and_why(pack: Pack) -> None:
    wrong = labelled("q1", "display shows no signal", notes=("disc-clean",))
    (line,) = misses(pack, score_notes(pack, [wrong], [], "tune"))
    assert line.startswith("q1 plain: wanted disc-clean; answer screen-no-signal, ")
    assert "; outranked by screen-no-signal by " in line
    assert line.endswith(" | display shows no signal")
    assert misses(pack, score_notes(pack, [wrong], [], "sealed")) == []


def test_a_turn_that_came_out_wrong_is_a_miss(pack: Pack) -> None:
    wrong = Talk("d9", (TalkTurn("display shows\x1b[2J no signal", ("disc-clean",), "tools"),), "tune")
    (line,) = misses(pack, score_notes(pack, [], [wrong], "tune"))
    assert line.startswith("d9: wanted disc-clean tools; ")
    assert line.endswith(" | display shows[2J no signal")


def test_the_runs_behind_the_figures_are_kept(pack: Pack) -> None:
    questions = [
        labelled("q1", "display shows no signal", notes=("screen-no-signal",), danger="safety-swollen-cell"),
        labelled("q2", "who won the match", "uncovered", (), kind="off"),
    ]
    report = score_notes(pack, questions, [], "tune")
    qrels, runs = report_runs(report)
    assert qrels == {"q1": {"screen-no-signal": 1, "safety-swollen-cell": 1}}
    assert list(runs) == [*report.comparison.values, "as shown"]
    assert all(set(run) == {"q1"} for run in runs.values())


def test_figures_of_no_question_can_still_be_printed(pack: Pack) -> None:
    empty = score_notes(pack, [], [], "sealed")
    assert "0.0000" in report_text(empty)
    json.dumps(report_json(empty), allow_nan=False)
