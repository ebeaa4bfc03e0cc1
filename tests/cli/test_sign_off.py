"""``assistant score report``, ``gate``, ``trend`` and ``relabel``: what they take, what they lack, what they refuse."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path

import pytest

from assistant.tui.common.app import OneScreenApp
from assistant.tui.label.labelling import Labelling
from assistant.tui.label.screen import LabelScreen
from tests.cli.test_score import QUESTIONS, TALKS, Shell, bars, home, shell, write

__all__ = ["home", "shell"]

OLD = {"id": "u1", "question": "display shows no signal", "manner": "uncovered", "notes": [], "kind": "near"}
"""A note covers it that no label names, once the labels of `QUESTIONS` that name it are left out."""


def test_without_talks_the_questions_are_scored_and_the_lack_is_told(shell: Shell) -> None:
    (shell.folder / "dialogues.jsonl").unlink()
    ran = shell("run", "--format", "json")
    assert ran.code == 0
    assert f"{shell.folder / 'dialogues.jsonl'}: is not there, so that no talks are scored" in ran.err.splitlines()
    shares = json.loads(ran.out)["shares"]
    assert (shares["P@1 plain"]["n"], shares["talks: turn right"]["n"]) == (2, 0)


def test_without_any_label_each_lack_is_told_and_nothing_is_judged(shell: Shell) -> None:
    for name in ("questions.jsonl", "dialogues.jsonl"):
        (shell.folder / name).unlink()
    ran = shell("gate")
    assert ran.code == 1
    told = ran.err.splitlines()
    for name, what in (("questions", "questions"), ("dialogues", "talks")):
        assert f"{shell.folder / f'{name}.jsonl'}: is not there, so that no {what} are scored" in told
    path = shell.folder / "bars.json"
    assert told[-1] == f"{path}: is not there, so that nothing is judged; --write-bars {path} writes first bars"
    assert "5 notes with a hazard: 0 signed, 0 stale, 5 not signed by a safety officer" in ran.out
    ran = shell("gate", "--write-bars", path)
    assert (ran.code, path.exists()) == (2, False)
    assert ran.err.splitlines()[-1].startswith("nothing is labelled, so that no bar can be set")


def test_first_bars_are_written_once_and_reached(shell: Shell) -> None:
    path = shell.folder / "bars.json"
    more = [{**QUESTIONS[0], "id": f"more{n}"} for n in range(10)]
    write(shell.folder / "questions.jsonl", [*QUESTIONS, *more])
    ran = shell("gate", "--write-bars", path)
    assert ran.code == 0
    assert ran.err.splitlines()[-1] == f"bars written to {path}"
    assert shell("gate").code == 0
    before = path.read_bytes()
    again = shell("gate", "--write-bars", path)
    assert (again.code, again.err) == (3, f"{path}: is there already; name another file\n")
    assert path.read_bytes() == before


def test_aims_and_sealed_figures_are_told_and_shut_no_gate(shell: Shell) -> None:
    path = bars(shell.folder / "bars.json", {"figure": "P@1", "at_least": 0.1})
    aims = [{"figure": "P@1 plain", "at_least": 1.1}, {"figure": "false answers", "at_most": 1}]
    path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), "aims": aims}), "utf-8")
    assert shell("sealed", "--why", "a release").code == 0
    for questions in (shell.folder / "sealed").glob("*s.jsonl"):
        questions.write_bytes(b"{")
    ran = shell("gate")
    assert ran.code == 0
    lines = ran.out.splitlines()
    assert "aim missed: P@1 plain: tune 1.000, sealed 1.000; aim at least 1.1" in lines
    assert "aim reached: false answers: tune 0.000; aim at most 1" in lines
    (opened,) = [line for line in lines if line.startswith("sealed questions opened 1 time, last on ")]
    assert opened.endswith(" with these notes")
    found = json.loads(shell("gate", "--format", "json").out)
    assert [(aim["figure"], aim["missed"]) for aim in found["aims"]] == [("P@1 plain", True), ("false answers", False)]


def test_the_words_of_the_figures_are_explained_where_that_is_asked(shell: Shell) -> None:
    bars(shell.folder / "bars.json", {"figure": "P@1", "at_least": 0.1}, {"figure": "confidence: AURC", "at_most": 1})
    ran = shell("gate")
    assert "what the words mean" not in ran.out
    assert "--explain says in a line each what the words mean" in ran.err.splitlines()
    ran = shell("gate", "--explain")
    figures, _, words = ran.out.partition("\nwhat the words mean\n")
    assert figures.splitlines()[-1] == "all 2 bars reached"
    assert [line[:11].strip() for line in words.splitlines()] == ["[low, high]", "bar", "P@1", "AURC"]
    words = shell("run", "--explain").out.partition("\nwhat the words mean\n")[2]
    assert {"MRR", "nDCG@10", "false alarms", "Brier score", "tune"} <= {
        line[:22].strip() for line in words.splitlines()
    }
    assert json.loads(shell("run", "--explain", "--format", "json").out)["split"] == "tune"


def test_a_release_is_signed_and_told_what_changed(shell: Shell, tmp_path: Path) -> None:
    first, second = tmp_path / "1.html", tmp_path / "2.html"
    assert shell("report", "--output", first).code == 0
    twin = first.with_suffix(".json")
    data = json.loads(twin.read_text("utf-8"))
    data["release"]["notes"] |= {"gone-note": "1"}
    data["shares"]["P@1"] |= {"value": 0.25}
    twin.write_text(json.dumps(data), "utf-8")
    assert shell("report", "--output", second, "--since", twin, "--signed-by", "B. Signer").code == 0
    facts = json.loads(second.with_suffix(".json").read_text("utf-8"))["release"]
    assert facts["signed_by"] == "B. Signer"
    assert (facts["changes"]["added"], facts["changes"]["changed"], facts["changes"]["gone"]) == ([], [], ["gone-note"])
    assert [figure["name"] for figure in facts["changes"]["figures"]] == ["P@1"]
    assert "Signed by B. Signer" in second.read_text("utf-8")
    ran = shell("report", "--output", tmp_path / "3.html", "--since", tmp_path / "none.json")
    assert ran.code == 3
    assert not (tmp_path / "3.html").exists()
    ran = shell("trend", second.with_suffix(".json"), twin, "--output", tmp_path / "t.html", "--figure", "P@1")
    assert ran.code == 0
    assert [line.split() for line in ran.out.splitlines()][1] == ["P@1", "1.000", "0.250", "-0.750"]
    assert "<svg" in (tmp_path / "t.html").read_text("utf-8")
    found = json.loads(shell("trend", twin, twin, "--format", "json").out)
    assert len(found["releases"]) == 2
    assert shell("trend", twin, twin, "--figure", "x").code == 2
    assert shell("trend", twin, tmp_path / "none.json").code == 3
    assert shell("trend").code == 2
    ran = shell("trend", twin)
    assert (ran.code, ran.out) == (2, "")
    assert "needs the figures of two releases" in ran.err


@pytest.fixture
def old(shell: Shell) -> Shell:
    """Labels of which one is made old by a note that no other names."""
    write(shell.folder / "questions.jsonl", [QUESTIONS[1], OLD])
    write(shell.folder / "dialogues.jsonl", TALKS)
    return shell


def test_a_label_that_was_made_old_is_listed_and_given_anew(old: Shell) -> None:
    ran = old("relabel", "--list")
    assert ran.code == 1
    assert ran.out.splitlines() == [
        "u1  display shows no signal",
        "    label: none; now answered with screen-no-signal",
        "1 label and 0 lines of uncovered.txt to look at again",
    ]
    ran = old("relabel", "--set", "u1=screen-no-signal,pad-stick-cap")
    assert (ran.code, ran.out) == (0, "u1: screen-no-signal, pad-stick-cap (was none)\n")
    record = json.loads((old.folder / "questions.jsonl").read_text("utf-8").splitlines()[1])
    assert (record["notes"], record["manner"]) == (["screen-no-signal", "pad-stick-cap"], "short")
    assert record["was"] == [{"notes": [], "manner": "uncovered", "kind": "near", "seen": ["screen-no-signal"]}]
    assert old("relabel", "--list").code == 0


def test_a_label_that_stays_is_not_asked_about_again(old: Shell) -> None:
    assert old("relabel", "--set", "u1=none").code == 0
    ran = old("relabel", "--list", "--format", "json")
    assert (ran.code, json.loads(ran.out)) == (0, {"labels": [], "turns": [], "uncovered": []})


@pytest.mark.parametrize("entry", ["u1", "u1=", "u1=none,disc-clean", "x=disc-clean", "u1=no-such-note"])
def test_what_cannot_be_given_anew_is_refused(old: Shell, entry: str) -> None:
    before = (old.folder / "questions.jsonl").read_bytes()
    ran = old("relabel", "--set", entry)
    assert (ran.code, ran.out) == (2, "")
    assert (old.folder / "questions.jsonl").read_bytes() == before


@pytest.fixture
def old_talk(shell: Shell) -> Shell:
    """A talk whose second turn is answered by a note that no label names."""
    write(shell.folder / "questions.jsonl", [QUESTIONS[1]])
    turns = [
        {"question": "wipe the sticky disc", "notes": ["disc-clean"], "about": "procedure"},
        {"question": "display shows no signal", "notes": [], "about": "procedure"},
    ]
    write(shell.folder / "dialogues.jsonl", [{"id": "d1", "turns": turns}])
    return shell


def second_turn(shell: Shell) -> dict[str, object]:
    (talk,) = map(json.loads, (shell.folder / "dialogues.jsonl").read_text("utf-8").splitlines())
    turn: dict[str, object] = talk["turns"][1]
    return turn


def test_a_turn_that_was_made_old_is_listed_and_given_anew(old_talk: Shell) -> None:
    ran = old_talk("relabel", "--list")
    assert ran.code == 1
    assert ran.out.splitlines() == [
        "d1/2  display shows no signal (after: wipe the sticky disc)",
        "    label: none; now answered with screen-no-signal",
        "0 labels and 1 turn of talks and 0 lines of uncovered.txt to look at again",
    ]
    ran = old_talk("relabel", "--set", "d1/2=screen-no-signal")
    assert (ran.code, ran.out) == (0, "d1/2: screen-no-signal (was none)\n")
    turn = second_turn(old_talk)
    assert (turn["notes"], turn["was"]) == (["screen-no-signal"], [{"notes": [], "seen": ["screen-no-signal"]}])
    assert old_talk("relabel", "--list").code == 0
    assert old_talk("relabel", "--set", "d1/3=none").code == 2


def test_a_turn_that_keeps_its_label_is_not_asked_about_again(old_talk: Shell) -> None:
    assert old_talk("relabel", "--set", "d1/2=none").code == 0
    assert second_turn(old_talk)["notes"] == []
    assert old_talk("relabel", "--list").code == 0


def test_turns_and_lines_are_looked_at_on_the_screen(
    old_talk: Shell, tmp_path: Path, mini_corpus_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A line goes with a note, comes back when that is taken back, and is kept for good where nothing answers it."""
    root = Path(shutil.copytree(mini_corpus_path, tmp_path / "notes"))
    uncovered = root / "uncovered.txt"
    line = "Blue screen"
    uncovered.write_text(uncovered.read_text("utf-8") + f"{line}\nmoon shop\n", "utf-8")
    before = uncovered.read_text("utf-8")

    def show(app: OneScreenApp) -> int:
        assert isinstance(app._screen, LabelScreen)
        at = app._screen._at
        assert at.asked.question == "display shows no signal (after: wipe the sticky disc)"
        at.pick(at.candidates.index("screen-no-signal") + 1)
        assert second_turn(old_talk)["notes"] == ["screen-no-signal"]
        at.next()
        assert at.asked.question == line
        at.pick(at.candidates.index("screen-no-signal") + 1)
        assert uncovered.read_text("utf-8") == before.replace(f"{line}\n", "")
        at.pick(at.candidates.index("screen-no-signal") + 1)
        assert uncovered.read_text("utf-8") == before
        at.uncovered()
        return 0

    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(OneScreenApp, "run", show)
    places = ("--corpus", root, "--home", tmp_path / "home")
    assert old_talk("relabel", *places).code == 0
    assert uncovered.read_text("utf-8") == before
    kept = (old_talk.folder / "uncovered_kept.jsonl").read_text("utf-8")
    assert json.loads(kept) == {"line": line, "note": "screen-no-signal"}
    assert old_talk("relabel", "--list", *places).code == 0


def test_without_a_terminal_relabel_says_what_else_there_is(old: Shell) -> None:
    ran = old("relabel")
    assert (ran.code, ran.out) == (2, "")
    assert "--list" in ran.err
    assert "--set" in ran.err
    assert old("relabel", "--uncovered", "no such line").code == 2


def test_labels_are_looked_at_on_the_screen_and_gone_on_with_after_a_kill(
    old: Shell, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The new note and the old label's are among the candidates; each mark is in the file at once."""
    shown: list[Labelling] = []

    def show(app: OneScreenApp) -> int:
        assert isinstance(app._screen, LabelScreen)
        at = app._screen._at
        shown.append(at)
        at.pick(at.candidates.index("screen-no-signal") + 1)
        record = json.loads((old.folder / "questions.jsonl").read_text("utf-8").splitlines()[1])
        assert (record["notes"], len(record["was"])) == (["screen-no-signal"], 1)
        raise KeyboardInterrupt

    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(OneScreenApp, "run", show)
    assert old("relabel").code == 130
    ran = old("relabel")
    assert ran.code == 0
    assert "No label waits to be looked at again." in ran.err.splitlines()
    assert len(shown) == 1
    assert shown[0].asked.id == "u1"
