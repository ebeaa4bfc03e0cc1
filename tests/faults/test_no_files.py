"""Where a file is read, a pipe, a folder or a device lies: one clear line, exit code 3, and nothing waits for ever."""

from __future__ import annotations

import os
import shutil
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NoReturn

import pytest

from tests.cli.conftest import Run

Put = Callable[[Path], object]
INSTEAD: dict[str, Put] = {
    "pipe": os.mkfifo,
    "folder": os.mkdir,
    "device": lambda path: path.symlink_to("/dev/zero"),
}
READ: dict[str, tuple[str, tuple[str, ...]]] = {
    "pack": ("m.pack", ("--pack", "m.pack", "ask", "--no-record", "stick cap torn")),
    "batch": ("b.jsonl", ("ask", "--batch", "b.jsonl")),
    "export": ("exports/e.jsonl", ("desk", "unanswered", "--journal", "exports")),
    "journal": ("home/journal.db", ("journal", "export")),
    "journal to record in": ("home/journal.db", ("visit", "open", "S-1")),
    "masking": ("home/settings.json", ("visit", "open", "S-1")),
    "travel": ("t.csv", ("visit", "plan", "--travel", "t.csv")),
    "labels": ("in/questions.jsonl", ("score", "run", "--eval", "in")),
    "labels to check": ("in/questions.jsonl", ("score", "check", "--corpus", "corpus", "--eval", "in")),
    "talks": ("in/dialogues.jsonl", ("score", "run", "--eval", "in")),
    "labels of another": ("l.jsonl", ("score", "agree", "l.jsonl", "l.jsonl")),
    "bars": ("b.json", ("score", "gate", "--bars", "b.json", "--eval", "in")),
    "one side": ("s.json", ("score", "compare", "s.json", "s.json", "--eval", "in")),
    "corpus of a collection": ("in/corpus.jsonl", ("score", "run", "--collection", "in")),
    "trade": ("corpus/trade.yaml", ("corpus", "compile", "--corpus", "corpus")),
    "note": ("corpus/pad/pad-stick-cap.md", ("corpus", "compile", "--corpus", "corpus")),
    "phrases": ("corpus/pad/pad-stick-cap.phrases.yaml", ("corpus", "compile", "--corpus", "corpus")),
    "questions of a note": ("corpus/pad/pad-stick-cap.questions.txt", ("corpus", "compile", "--corpus", "corpus")),
}
USUAL = ("batch", "export", "labels", "travel", "trade")
"""Of each way to read a file one."""
QUESTION = (
    '{"id": "q1", "question": "stick cap torn", "manner": "plain", "notes": ["pad-stick-cap"], "split": "tune"}\n'
)


_NEVER_SECONDS = 120
"""After so long a command that reads a file will not end any more."""


@pytest.fixture(autouse=True)
def _ends() -> Iterator[None]:
    """Fail where a command waits for ever: the call of the system that waits is broken off."""

    def waited(*_: object) -> NoReturn:
        raise AssertionError("the command waits for ever")

    before = signal.signal(signal.SIGALRM, waited)
    signal.alarm(_NEVER_SECONDS)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


def test_a_command_that_waits_for_ever_is_noticed(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    signal.alarm(1)
    with pytest.raises(AssertionError, match="waits for ever"):
        (tmp_path / "pipe").read_bytes()


@pytest.mark.parametrize(
    ("name", "instead"),
    [*((name, "pipe") for name in READ), *((name, other) for name in USUAL for other in ("folder", "device"))],
)
def test_what_is_no_file_is_refused(
    mini_pack_path: Path, mini_corpus_path: Path, tmp_path: Path, run: Run, name: str, instead: str
) -> None:
    shutil.copytree(mini_corpus_path, tmp_path / "corpus")
    shutil.copy(mini_pack_path, tmp_path / "other.pack")
    (tmp_path / "home").mkdir()
    for folder in ("in", "exports"):
        (tmp_path / folder).mkdir()
    for labels, line in (("questions", QUESTION), ("dialogues", ""), ("corpus", ""), ("queries", "")):
        (tmp_path / "in" / f"{labels}.jsonl").write_text(line, "utf-8")
    place, arguments = READ[name]
    path = tmp_path / place
    path.unlink(missing_ok=True)
    INSTEAD[instead](path)
    given = arguments if "--corpus" in arguments or "--pack" in arguments else ("--pack", "other.pack", *arguments)
    ran = run(*given)
    assert ran.code == 3, ran
    assert ran.out == ""
    told = [line for line in ran.err.splitlines() if not line.endswith(" ...")]
    assert len(told) == 1, ran.err
    assert path.name in told[0]


@pytest.mark.parametrize("name", ["trade.yaml", "pad/pad-stick-cap.md"])
def test_the_check_of_the_notes_names_what_is_no_file(
    mini_corpus_path: Path, tmp_path: Path, run: Run, name: str
) -> None:
    """To the check it is one finding among others."""
    shutil.copytree(mini_corpus_path, tmp_path / "corpus")
    path = tmp_path / "corpus" / name
    path.unlink(missing_ok=True)
    os.mkfifo(path)
    ran = run("corpus", "check", "--corpus", "corpus")
    assert ran.code == 1
    assert any(name in line and "not a file that can be read" in line for line in ran.out.splitlines()), ran.out
