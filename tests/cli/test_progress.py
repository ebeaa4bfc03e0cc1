"""Long work tells how far it is: a bar on a terminal, one line in a file."""

from __future__ import annotations

import argparse
import io
import sys
from pathlib import Path

import pytest

from assistant.cli.common import open_pack, say
from assistant.progress import counted, silent
from tests.making import Told


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("columns", [20, 40, 100])
def test_a_terminal_sees_a_bar_that_fills(monkeypatch: pytest.MonkeyPatch, columns: int) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("COLUMNS", str(columns))
    assert list(counted(range(200), say, "asking")) == list(range(200))
    drawn = terminal.getvalue()
    assert drawn.startswith("\rasking [." if columns > 20 else "\rask [.")
    assert drawn.endswith("] 200/200\n")
    assert "." not in drawn.rsplit("\r", 1)[1]
    assert 3 <= drawn.count("\r") <= 40
    assert max(len(line) for line in drawn.rstrip("\n").split("\r")) <= columns


def test_a_file_gets_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert list(counted("abc", say, "asking")) == ["a", "b", "c"]
    say("drawing")
    assert capsys.readouterr().err == "asking ...\ndrawing ...\n"


@pytest.mark.parametrize(
    ("pack", "message"),
    [("new.pack", "Reading the notes for the first time, once"), ("", "Reading the notes, which have changed")],
)
def test_the_notes_are_read_under_one_message_that_counts(
    two_notes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pack: str, message: str
) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("COLUMNS", "100")
    path = tmp_path / (pack or "old.pack")
    if not pack:
        path.write_text("an old one")
    with open_pack(argparse.Namespace(corpus=str(two_notes), pack=str(path), home=str(tmp_path))):
        pass
    drawn = terminal.getvalue()
    assert drawn.startswith(f"\r{message} [.")
    assert drawn.endswith("] 3/3\n")
    assert {line for line in drawn.replace("\r", "\n").split("\n") if line and not line.startswith(message)} == set()


def test_nothing_to_do_is_not_told_and_silence_is_silent(capsys: pytest.CaptureFixture[str]) -> None:
    told = Told()
    assert list(counted((), told, "asking")) == []
    assert told == []
    assert list(counted("ab", silent, "asking")) == ["a", "b"]
    assert capsys.readouterr() == ("", "")
