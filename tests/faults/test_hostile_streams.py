"""Standard streams that are closed before the program starts: no traceback, and the question is kept."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.journal.records import Question
from assistant.journal.store import Journal
from tests.cli.conftest import Run

QUESTION = "stick cap torn"
BATCH = b'{"id": 1, "question": "stick cap torn"}\n'


def closed(arguments: list[str], streams: str, pack: Path, home: Path) -> subprocess.CompletedProcess[bytes]:
    """Run with these streams closed, by a shell."""
    command = '"$0" -m assistant "$@" ' + streams
    return subprocess.run(
        ["sh", "-c", command, sys.executable, *arguments],
        input=BATCH,
        capture_output=True,
        env={**os.environ, "ASSISTANT_PACK": str(pack), "ASSISTANT_HOME": str(home)},
        timeout=600,
        check=False,
    )


@pytest.mark.parametrize(
    ("arguments", "codes"),
    [
        (["ask", QUESTION], {0}),
        (["ask", "--format", "json", QUESTION], {0}),
        (["ask", "--batch", "-"], {0}),
        ([], {2}),
    ],
)
@pytest.mark.parametrize("streams", ["<&-", ">&-", "2>&-", "<&- >&-", "<&- >&- 2>&-"])
def test_closed_streams(
    mini_pack_path: Path, tmp_path: Path, arguments: list[str], codes: set[int], streams: str
) -> None:
    home = tmp_path / "home"
    ran = closed(arguments, streams, mini_pack_path, home)
    assert ran.returncode in codes
    assert b"Traceback" not in ran.stdout + ran.stderr
    if ">&-" in streams.replace("2>&-", ""):
        assert ran.stdout == b""
    if QUESTION in arguments:
        with Journal(home / "journal.db") as journal:
            assert [kept.text for kept in journal.all(Question)] == [QUESTION]


@pytest.mark.parametrize("question", ["\x01", "\u200b \u202e", "\x1b\x07"])
def test_a_question_without_a_character_to_see_is_no_question(
    run: Run, mini_pack_path: Path, tmp_path: Path, question: str
) -> None:
    ran = run("--pack", str(mini_pack_path), "ask", question)
    assert (ran.code, ran.out) == (2, "")
    assert not (tmp_path / "home" / "journal.db").exists()


@pytest.mark.parametrize(
    ("line", "message"),
    [
        (b'{"id": true, "question": "x"}', "standard input:1: 'id' must be text or a number"),
        (b'{"question": "x"}', "standard input:1: 'id' is missing: give each line one of its own, text or a number"),
        (b'{"id": 1.5, "question": "x"}', "standard input:1: 'id' must be text or a number"),
        (
            b'{"id": 1, "question": "x", "conversation": false}',
            "standard input:1: 'conversation' must be text or a num",
        ),
    ],
)
def test_truth_is_no_number(run: Run, mini_pack_path: Path, line: bytes, message: str) -> None:
    ran = run("--pack", str(mini_pack_path), "ask", "--batch", "-", stdin=line)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.startswith(message)
