"""Long work tells how far it is: a bar on a terminal, one line in a file."""

from __future__ import annotations

import io
import sys

import pytest

from assistant.cli.common import say
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
    assert drawn.startswith("\rasking [.")
    assert drawn.endswith("] 200/200\n")
    assert "." not in drawn.rsplit("\r", 1)[1]
    assert 3 <= drawn.count("\r") <= 40
    assert max(len(line) for line in drawn.rstrip("\n").split("\r")) <= max(columns, 25)


def test_a_file_gets_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert list(counted("abc", say, "asking")) == ["a", "b", "c"]
    say("drawing")
    assert capsys.readouterr().err == "asking ...\ndrawing ...\n"


def test_nothing_to_do_is_not_told_and_silence_is_silent(capsys: pytest.CaptureFixture[str]) -> None:
    told = Told()
    assert list(counted((), told, "asking")) == []
    assert told == []
    assert list(counted("ab", silent, "asking")) == ["a", "b"]
    assert capsys.readouterr() == ("", "")
