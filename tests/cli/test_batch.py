"""Many questions in many processes: the same answers in the same order, and no process stays behind."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from assistant.cli import batch
from tests.cli.conftest import Run, spawn

TURNS = (
    "controller stick cap broken?",
    "how long",
    "fingerprints on the game disc",
    "",
    "when do i get paid",
    "and then",
)


def asked(count: int) -> bytes:
    """Return so many lines: questions by themselves, and five talks whose turns stand far apart."""
    records = [
        {"id": n, "question": TURNS[n * 7 % 6], **({"conversation": n % 5} if n % 3 else {})} for n in range(count)
    ]
    return "\n".join(json.dumps(record) for record in records).encode()


def children_of(process: int) -> list[int]:
    told = Path(f"/proc/{process}/task/{process}/children")
    if not told.exists():
        pytest.skip("children are not told here")
    return [int(child) for child in told.read_text().split()]


def lives(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False


def is_gone(process: int) -> bool:
    """Tell whether a process ends within ten minutes."""
    for _ in range(6000):
        if not lives(process):
            return True
        time.sleep(0.1)
    return False


@pytest.mark.parametrize("jobs", ["2", "3", "0"])
def test_many_processes_answer_as_one_does(mini_pack_path: Path, jobs: str) -> None:
    lines = asked(80)
    one = spawn(["--pack", str(mini_pack_path), "ask", "--batch", "-"], stdin=lines)
    many = spawn(["--pack", str(mini_pack_path), "ask", "--batch", "-", "--jobs", jobs], stdin=lines)
    assert (one.code, len(one.out.splitlines())) == (0, 80)
    assert many == one


def test_a_bad_line_is_named_after_the_answers_before_it(mini_pack_path: Path) -> None:
    lines = asked(9) + b"\n{\n" + asked(3)
    one, many = (
        spawn(["--pack", str(mini_pack_path), "ask", "--batch", "-", "--jobs", jobs], stdin=lines) for jobs in "12"
    )
    assert (one.code, one.err, len(one.out.splitlines())) == (3, "standard input:10: not a JSON object\n", 9)
    assert many == one


def test_what_workers_cannot_read_is_told_once(mini_pack_path: Path, tmp_path: Path) -> None:
    from tests.packs import every

    pack = tmp_path / "m.pack"
    pack.write_bytes(mini_pack_path.read_bytes())
    every("note", b"{")(pack)
    ran = spawn(["--pack", str(pack), "ask", "--batch", "-", "--jobs", "2"], stdin=asked(9))
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.startswith(f"{pack}:1: damaged pack: ")
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("jobs", ["-1", "257", "x"])
def test_a_number_of_processes_that_is_none_is_refused(run: Run, jobs: str) -> None:
    ran = run("ask", "--batch", "-", "--jobs", jobs)
    assert (ran.code, ran.out) == (2, "")
    assert "--jobs" in ran.err


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
@pytest.mark.parametrize(("sent", "code"), [(signal.SIGINT, 130), (signal.SIGKILL, -signal.SIGKILL)])
def test_no_worker_stays_behind(mini_pack_path: Path, sent: signal.Signals, code: int) -> None:
    command = [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path), "ask", "--batch", "-", "--jobs", "2"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=os.environ.copy()
    ) as process:
        assert process.stdin
        assert process.stdout
        process.stdin.write(asked(2) + b"\n")
        process.stdin.flush()
        answers = [json.loads(process.stdout.readline())["id"] for _ in range(2)]
        assert answers == ["0", "1"]  # each line is answered when it comes, though more may follow
        workers = children_of(process.pid)
        assert len(workers) == 2
        process.send_signal(sent)
        process.wait(600)
        assert process.returncode == code
        assert all(map(is_gone, workers))


def test_of_too_many_talks_the_one_that_was_left_longest_begins_anew(
    run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batch, "_MOST_TALKS", 2)
    turns = [("a", TURNS[0]), ("b", TURNS[0]), ("a", "how long"), ("c", TURNS[0]), ("b", "how long"), ("c", "how long")]
    lines = "\n".join(json.dumps({"id": n, "question": q, "conversation": c}) for n, (c, q) in enumerate(turns))
    ran = run("--pack", str(mini_pack_path), "ask", "--batch", "-", stdin=lines.encode())
    told = [json.loads(line) for line in ran.out.splitlines()]
    assert [answer["text"] for answer in (told[2], told[5])] == ["About 6 minutes."] * 2
    assert told[4]["text"] != "About 6 minutes."
