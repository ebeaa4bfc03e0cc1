"""Running the command in this process and in another."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest

from assistant.cli.main import main


class Ran(NamedTuple):
    """What a command left: exit code and the two streams."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture(autouse=True)
def _own_places(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.delenv("ASSISTANT_CORPUS", raising=False)
    monkeypatch.delenv("ASSISTANT_PACK", raising=False)
    monkeypatch.setenv("ASSISTANT_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command in this process."""

    def in_process(*arguments: str, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), "utf-8"))
        with pytest.raises(SystemExit) as left:
            main(list(arguments))
        out, err = capsys.readouterr()
        assert isinstance(left.value.code, int)
        return Ran(left.value.code, out, err)

    return in_process


def spawn(arguments: Sequence[str], *, stdin: bytes = b"", **environment: str) -> Ran:
    """Run the command in another process."""
    done = subprocess.run(
        [sys.executable, "-m", "assistant", *arguments],
        input=stdin,
        capture_output=True,
        env={**os.environ, **environment},
        timeout=600,
        check=False,
    )
    return Ran(done.returncode, done.stdout.decode(), done.stderr.decode())
