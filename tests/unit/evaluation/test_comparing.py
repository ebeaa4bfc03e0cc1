"""Two sides held against one another: where they come from, figures, gains and losses, and the forms."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from assistant.errors import NotesError, PackError, UsageError
from assistant.evaluation.comparing import FigurePair, Versus, compare_sides, versus_json, versus_text
from assistant.evaluation.labels import LabelledQuestion, Talk, TalkTurn
from assistant.evaluation.run import outcomes, summarize
from assistant.evaluation.sides import Labels, Side, baseline_shares, read_side
from assistant.evaluation.statistics import holm
from assistant.pack.reader import Pack
from tests.conftest import MINI
from tests.making import Told
from tests.unit.evaluation.making import labelled, outcome

QUESTIONS = [
    labelled("q1", "display shows no signal", notes=("screen-no-signal",)),
    labelled("q2", "wipe the sticky disc", "noisy", ("disc-clean",)),
    labelled("q3", "outlet strip has no power", "long", ("pad-stick-cap",)),
    labelled("q4", "who won the match", "uncovered", (), kind="off"),
]
TALKS = [Talk("d1", (TalkTurn("wipe the sticky disc", ("disc-clean",), "procedure"),), "tune")]
LABELS = Labels(QUESTIONS, TALKS, "tune")


def figure(versus: Versus, name: str) -> FigurePair:
    (pair,) = [pair for pair in versus.figures if pair.name == name]
    return pair


@pytest.fixture(scope="module")
def side(mini_pack_path: Path) -> Iterator[Side]:
    yield read_side(mini_pack_path, LABELS, None)


@pytest.fixture
def baseline(tmp_path: Path) -> Path:
    path = tmp_path / "baseline.json"
    path.write_text(json.dumps({"splits": {"tune": {"P@1": 0.5, "gone": 0.25}}}), "utf-8")
    return path


def test_a_pack_is_scored_as_the_report_scores_it(side: Side, mini_pack: Pack) -> None:
    found = outcomes(mini_pack, QUESTIONS)
    shares = {name: share.value for name, share in summarize(found).shares.items() if share.n}
    assert (side.kind, side.pack, list(side.outcomes)) == ("pack", mini_pack.digest, found)
    assert {name: side.shares[name] for name in shares} == shares
    means = summarize(found).means
    assert side.shares["as shown: MRR"] == pytest.approx(means["MRR"])
    assert side.shares["as shown: nDCG@10"] == pytest.approx(means["nDCG@10"])
    assert side.figures["P@1 area disc"] == {"q2": (1, 1)}
    assert side.figures["P@1 station pad"] == {"q3": (0, 1)}
    assert side.figures["talks: turn right"].keys() == {"d1/1"}


def test_every_question_and_turn_has_a_note_to_be_drawn_with(side: Side) -> None:
    clusters = LABELS.clusters()
    assert clusters == {
        "q1": "screen-no-signal",
        "q2": "disc-clean",
        "q3": "pad-stick-cap",
        "q4": "? q4",
        "d1/1": "disc-clean",
    }
    assert {question for tally in side.figures.values() for question in tally} <= clusters.keys()


def test_settings_are_compiled_with_the_notes(tmp_path: Path) -> None:
    settings = Path(__file__).resolve().parents[3] / "assistant" / "compiling" / "settings.json"
    told = Told()
    found = read_side(settings, LABELS, MINI, told)
    assert found.kind == "settings"
    assert len(found.outcomes) == len(QUESTIONS)
    assert told[0] == f"compiling the notes with {settings}"
    with pytest.raises(UsageError, match="--corpus"):
        read_side(settings, LABELS, None)


def test_a_saved_baseline_gives_shares_alone(baseline: Path) -> None:
    assert read_side(baseline, LABELS, None) == Side(str(baseline), "baseline", {"P@1": 0.5, "gone": 0.25})
    with pytest.raises(NotesError, match="no saved baseline for the split 'sealed'"):
        baseline_shares(baseline, "sealed")


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 400, '"x"', "null", "[]"])
def test_a_saved_share_is_a_finite_number(tmp_path: Path, value: str) -> None:
    path = tmp_path / "b.json"
    path.write_text(f'{{"splits": {{"tune": {{"P@1": {value}}}}}}}', "utf-8")
    with pytest.raises(NotesError, match="no saved baseline for the split 'tune'"):
        baseline_shares(path, "tune")


@pytest.mark.parametrize("content", [b"", b"{}", b"[1]", b"\xff\xfe", b'{"analysis": {}}', b"[" * 100_000])
def test_what_is_none_of_the_three_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "thing"
    path.write_bytes(content)
    with pytest.raises(NotesError, match="neither a pack, nor settings, nor a saved baseline"):
        read_side(path, LABELS, MINI)


def test_a_missing_file_and_a_foreign_database_are_refused(tmp_path: Path) -> None:
    with pytest.raises(NotesError, match="cannot be read"):
        read_side(tmp_path / "none", LABELS, None)
    foreign = tmp_path / "foreign.db"
    foreign.write_bytes(b"SQLite format 3\x00" + bytes(100))
    with pytest.raises(PackError):
        read_side(foreign, LABELS, None)


def test_a_side_against_itself_changes_nothing(side: Side) -> None:
    versus = compare_sides(side, side, LABELS, draws=50)
    assert {pair.name for pair in versus.figures} == set(side.shares)
    assert all((pair.difference, pair.p, pair.adjusted) == (0.0, 1.0, 1.0) for pair in versus.figures)
    assert {pair.interval for pair in versus.figures} == {None, (0.0, 0.0)}
    assert (versus.changes, versus.notes) == ((), ())


def made(right: str, questions: list[LabelledQuestion]) -> Side:
    """Return a side that has the questions named by letters right, with one figure."""
    found = [outcome(q, [q.notes[0] if q.id in right else "x"]) for q in questions]
    tally = {o.question.id: (int(o.question.id in right), 1) for o in found}
    share = sum(k for k, _ in tally.values()) / len(tally)
    return Side("made", "pack", {"P@1": share}, {"P@1": tally}, found)


def test_gains_and_losses_are_told_by_question_and_by_note() -> None:
    questions = [labelled(name, notes=(note,)) for name, note in zip("abcde", "mmnno", strict=True)]
    versus = compare_sides(made("abc", questions), made("cde", questions), Labels(questions, [], "tune"), draws=50)
    assert [(c.question, c.gained, c.first[0], c.second[0]) for c in versus.changes] == [
        ("a", False, "m", "x"),
        ("b", False, "m", "x"),
        ("d", True, "x", "n"),
        ("e", True, "x", "o"),
    ]
    assert versus.notes == (("m", 0, 2), ("n", 1, 0), ("o", 1, 0))
    pair = figure(versus, "P@1")
    assert (pair.first, pair.second, pair.questions) == (0.6, 0.6, 5)
    assert pair.interval is not None
    assert pair.interval[0] < 0 < pair.interval[1]


def test_p_is_adjusted_over_all_figures_that_were_tested() -> None:
    questions = [labelled(str(n), notes=(f"n{n}",)) for n in range(12)]
    names = "".join(q.id for q in questions)
    before = made("", questions)
    after = made(names, questions)
    before = before._replace(
        shares={**before.shares, "same": 0.0, "gone": 1.0}, figures={**before.figures, "same": before.figures["P@1"]}
    )
    after = after._replace(
        shares={**after.shares, "same": 0.0}, figures={**after.figures, "same": before.figures["same"]}
    )
    versus = compare_sides(before, after, Labels(questions, [], "tune"), draws=2000)
    found = {pair.name: pair for pair in versus.figures}
    assert found["gone"] == FigurePair("gone", 1.0, None, None, None, None, None, 0)
    p = found["P@1"].p
    assert p is not None
    assert p < 0.01
    assert found["same"].p == 1.0
    assert [found["P@1"].adjusted, found["same"].adjusted] == holm([p, 1.0]) == [2 * p, 1.0]


def test_only_shares_are_compared_with_a_baseline(side: Side, baseline: Path) -> None:
    versus = compare_sides(read_side(baseline, LABELS, None), side, LABELS)
    pair = figure(versus, "P@1")
    assert pair.difference == pytest.approx(side.shares["P@1"] - 0.5)
    assert (pair.interval, pair.p, pair.adjusted) == (None, None, None)
    assert (figure(versus, "gone").second, figure(versus, "gone").difference) == (None, None)
    assert figure(versus, "P@1 noisy").first is None
    assert "a saved baseline holds shares alone" in versus_text(versus)


def test_the_text_has_a_line_for_every_figure_note_and_question() -> None:
    questions = [labelled("a", "dark\x1b[31m pad", notes=("m",)), labelled("b", "lit", notes=("n",))]
    versus = compare_sides(made("a", questions), made("b", questions), Labels(questions, [], "tune"), draws=50)
    lines = versus_text(versus).splitlines()
    assert lines[:3] == [
        "A: made (pack)",
        "B: made (pack)",
        "split tune; B - A with the 95 % bootstrap interval drawn by note, p of the paired randomization",
    ]
    assert lines[5] == "figure      A      B   B - A  interval                 p   Holm"
    assert lines[6] == "P@1     0.500  0.500  +0.000  [-1.000, +1.000]    1.0000  1.000"
    assert lines[7:] == [
        "",
        "1 question gained, 1 lost",
        "  m: 0 gained, 1 lost",
        "  n: 1 gained, 0 lost",
        "lost a plain: wanted m; answer m -> answer x | dark[31m pad",
        "gained b plain: wanted n; answer x -> answer n | lit",
    ]


def test_the_json_holds_the_same(side: Side) -> None:
    question = QUESTIONS[0]
    changed = [replace(side.outcomes[0], order=(("disc-clean", 1.0),)), *side.outcomes[1:]]
    versus = compare_sides(side, side._replace(outcomes=changed), LABELS, draws=50)
    found = json.loads(json.dumps(versus_json(versus), allow_nan=False))
    assert found["sides"][0] == {"name": side.name, "kind": "pack", "pack": side.pack}
    assert len(found["figures"]) == len(versus.figures)
    assert found["figures"][0].keys() == {
        *("name", "first", "second", "difference", "interval", "p", "p_holm", "questions")
    }
    assert found["notes"] == [{"note": "screen-no-signal", "gained": 0, "lost": 1}]
    (change,) = found["changes"]
    assert (change["id"], change["question"], change["change"]) == ("q1", question.question, "lost")
    assert change["second"] == {"note": "disc-clean", "decision": side.outcomes[0].decision}
