"""``assistant score label`` and ``assistant score agree``: what they take, refuse and tell."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assistant.cli.label import add_agree, add_label
from assistant.errors import ExitCode, NotesError, UsageError
from assistant.evaluation.judgements import Judgement, JudgementFile
from assistant.tui.common.app import OneScreenApp
from assistant.tui.label.screen import LabelScreen

Act = Callable[..., int]
QUESTIONS = [
    {"id": "q1", "question": "controller stick cap broken?", "notes": ["pad-stick-cap"]},
    {"id": "q2", "question": "screen says no signal", "notes": ["screen-no-signal"]},
    {"id": "q3", "question": "when do i get paid", "notes": []},
]


@pytest.fixture
def act(mini_pack_path: Path) -> Act:
    """Run one of the two acts over the pack of six notes."""

    def run(*arguments: str) -> int:
        parser = argparse.ArgumentParser()
        parser.set_defaults(corpus=None, pack=str(mini_pack_path), home=None)
        acts = parser.add_subparsers(dest="act", required=True)
        add_label(acts)
        add_agree(acts)
        options = parser.parse_args(arguments)
        code: int = options.run(options)
        return code

    return run


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The folder of labelled questions, in the current folder."""
    made = tmp_path / "eval"
    made.mkdir()
    (made / "questions.jsonl").write_text("".join(f"{json.dumps(one)}\n" for one in QUESTIONS), "utf-8")
    return made


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> list[LabelScreen]:
    """Pretend that there is a terminal; what would be shown on it is kept."""
    shown: list[LabelScreen] = []

    def show(app: OneScreenApp) -> int:
        assert isinstance(app._screen, LabelScreen)
        shown.append(app._screen)
        return 0

    for stream in (sys.stdin, sys.stdout):
        monkeypatch.setattr(stream, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setattr(OneScreenApp, "run", show)
    return shown


def test_labelling_without_a_terminal_is_refused(act: Act, folder: Path) -> None:
    with pytest.raises(UsageError, match="needs a terminal") as caught:
        act("label", "--labeller", "B")
    assert caught.value.exit_code == 2
    assert [path.name for path in folder.iterdir()] == ["questions.jsonl"]


def test_labelling_on_a_dumb_terminal_is_refused(
    act: Act, folder: Path, terminal: list[LabelScreen], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "dumb")
    with pytest.raises(UsageError, match="needs a terminal"):
        act("label", "--labeller", "B")


def test_the_screen_gets_questions_and_candidates_and_no_label(
    act: Act, folder: Path, terminal: list[LabelScreen]
) -> None:
    assert act("label", "--labeller", "B") == ExitCode.DONE
    (screen,) = terminal
    assert screen._at.progress == "0 of 3 done, 0 unsure"
    assert screen._at.asked == ("q1", "controller stick cap broken?")
    assert screen._at.judgement.notes == ()


def test_labels_go_beside_the_questions_under_the_name(act: Act, folder: Path, terminal: list[LabelScreen]) -> None:
    JudgementFile(folder / "labels-B.jsonl", "B").add(Judgement("q1", QUESTIONS[0]["question"], ("pad-stick-cap",)))  # type: ignore[arg-type]
    act("label", "--labeller", "B")
    act("label", "--labeller", "C")
    act("label", "--labeller", "C", "--output", "mine.jsonl")
    assert [screen._at.progress[0] for screen in terminal] == ["1", "0", "0"]
    assert [screen._at._file.path.name for screen in terminal] == ["labels-B.jsonl", "labels-C.jsonl", "mine.jsonl"]


def test_another_labellers_file_is_refused(act: Act, folder: Path, terminal: list[LabelScreen]) -> None:
    JudgementFile(Path("mine.jsonl"), "B").add(Judgement("q1", "why", ("pad-stick-cap",)))
    with pytest.raises(NotesError, match="holds the labels of 'B', not of 'C'"):
        act("label", "--labeller", "C", "--output", "mine.jsonl")
    assert not terminal


def test_a_sample_and_a_file_of_ones_own(act: Act, folder: Path, terminal: list[LabelScreen]) -> None:
    Path("mine.txt").write_text("".join(f"question {n}\n" for n in range(30)), "utf-8")
    for seed in ("1", "1", "2"):
        act("label", "--questions", "mine.txt", "--labeller", "B", "--sample", "4", "--seed", seed)
    first, again, other = ([asked.id for asked in screen._at._questions] for screen in terminal)
    assert len(first) == 4
    assert first == again != other


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--labeller", "../B"], "the name of a labeller"),
        (["--labeller", ""], "the name of a labeller"),
        (["--labeller", "B", "--sample", "4"], "a sample of 4 cannot be drawn from 3 questions"),
        (["--labeller", "B", "--output", "nowhere/b.jsonl"], "nowhere: no such folder"),
    ],
)
def test_what_cannot_be_is_refused(
    act: Act, folder: Path, terminal: list[LabelScreen], arguments: list[str], told: str
) -> None:
    with pytest.raises(UsageError, match=told):
        act("label", *arguments)
    assert not terminal


def test_a_broken_file_of_questions_is_told(act: Act, folder: Path, terminal: list[LabelScreen]) -> None:
    Path("mine.jsonl").write_text('{"question": "why"}\n{\n', "utf-8")
    with pytest.raises(NotesError, match=r"mine\.jsonl:2: not a JSON object"):
        act("label", "--labeller", "B", "--questions", "mine.jsonl")


def test_labels_are_printed_as_lines(act: Act, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = JudgementFile(folder / "labels-B.jsonl", "B")
    file.add(Judgement("q1", "why", ("pad-stick-cap",)))
    file.add(Judgement("q2", "who", mark="unsure"))
    assert act("label", "--labeller", "B", "--print") == ExitCode.DONE
    assert [json.loads(line) for line in capsys.readouterr().out.splitlines()] == [
        {"question": "why", "notes": ["pad-stick-cap"]}
    ]


def test_agreement_of_two_files(act: Act, folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name, second in (("B", "screen-no-signal"), ("C", "disc-clean")):
        file = JudgementFile(folder / f"labels-{name}.jsonl", name)
        file.add(Judgement("q1", "one", ("pad-stick-cap",), {"pad-stick-cap": (1,)}))
        file.add(Judgement("q2", "two", (second,)))
        file.add(Judgement("q3", "three", mark="uncovered"))
    files = [str(folder / f"labels-{name}.jsonl") for name in "BC"]
    assert act("agree", *files) == ExitCode.DONE
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("2 of 3 questions labelled alike; Cohen's kappa 0.5")
    assert lines[-1] == "  screen-no-signal | disc-clean | two"
    assert act("agree", *files, "--format", "json") == ExitCode.DONE
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert found["steps"] == {"notes": 1, "agreed": 1}
    assert found["uncovered"]["both"] == 1
    with pytest.raises(UsageError, match="name two files of labels"):
        act("agree", files[0])


def test_labels_for_what_the_first_did_not_label_are_told_with_exit_code_1(
    act: Act, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in "BC":
        file = JudgementFile(folder / f"labels-{name}.jsonl", name)
        file.add(Judgement("q1", "one", ("pad-stick-cap", "disc-clean") if name == "B" else ("disc-clean",)))
    file.add(Judgement("q2", "two", ("disc-clean",)))
    first, second = (str(folder / f"labels-{name}.jsonl") for name in "BC")
    assert act("agree", first, second, "--format", "json") == ExitCode.NOTHING
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert (found["agreed"], found["strict"]["agreed"], found["unmatched"]) == (1, 0, ["two"])
    assert act("agree", second, first, "--format", "json") == ExitCode.DONE
    assert json.loads(capsys.readouterr().out)["unmatched"] == []
