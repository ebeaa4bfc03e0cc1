"""Wrong use, no terminal, interruption, and ``assistant corpus compile``."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.answering.assistant import Assistant
from assistant.cli import ask
from assistant.pack.reader import Pack
from tests.cli.conftest import Run


@pytest.mark.parametrize(
    "arguments",
    [
        ["bogus"],
        ["ask"],
        ["ask", "  "],
        ["ask", "x", "--batch", "-"],
        ["ask", "x", "--format", "xml"],
        ["ask", "x", "--bogus"],
        ["show"],
        ["show", "a", "b"],
        ["corpus"],
        ["corpus", "bogus"],
        ["--pack"],
        ["--bogus", "ask", "x"],
    ],
)
def test_wrong_use(run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str]) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))
    ran = run(*arguments)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err
    assert "Traceback" not in ran.err


def test_help(run: Run) -> None:
    ran = run("--help")
    assert (ran.code, ran.err) == (0, "")
    for word in ("ask", "show", "corpus", "score", "--corpus", "--pack", "--home"):
        assert word in ran.out
    assert "--batch" in run("ask", "--help").out
    assert "compile" in run("corpus", "--help").out


def test_screen_without_a_terminal(run: Run, mini_pack_path: Path) -> None:
    ran = run("--pack", str(mini_pack_path))
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.splitlines()[-1] == (
        'the screen needs a terminal; ask with: assistant ask "controller stick cap broken?"'
    )


def test_screen_on_a_dumb_terminal(mini_pack_path: Path) -> None:
    outer, inner = pty.openpty()
    try:
        ran = subprocess.run(
            [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path)],
            stdin=inner,
            stdout=inner,
            stderr=subprocess.PIPE,
            env={**os.environ, "TERM": "dumb"},
            timeout=600,
            check=False,
        )
    finally:
        os.close(outer)
        os.close(inner)
    assert ran.returncode == 2
    assert b"the screen needs a terminal" in ran.stderr


def test_compile(run: Run, two_notes: Path, tmp_path: Path) -> None:
    ran = run("corpus", "compile", "--corpus", str(two_notes), "--pack", "out/m.pack")
    with Pack(tmp_path / "out/m.pack") as pack:
        assert ran.out == f"out/m.pack: 2 notes, 9 lines learned from, {pack.digest}\n"
    assert ran.code == 0
    assert ran.err.splitlines() == [
        "reading notes ...",
        "reading words ...",
        "learning 3 classes ...",
        "writing the pack ...",
    ]


def test_compile_learns_anew_what_has_changed_or_all_in_full(run: Run, two_notes: Path, tmp_path: Path) -> None:
    compile_ = ("corpus", "compile", "--corpus", str(two_notes), "--pack", "m.pack")
    run(*compile_)
    whole = (tmp_path / "m.pack").read_bytes()
    ran = run(*compile_)
    assert "taking over what was learned ..." in ran.err
    assert "learning" not in ran.err
    assert (tmp_path / "m.pack").read_bytes() == whole
    ran = run(*compile_, "--full")
    assert "learning 3 classes ..." in ran.err
    assert (tmp_path / "m.pack").read_bytes() == whole
    (two_notes / "uncovered.txt").write_text("where do i park\n", "utf-8")
    assert "learning 3 classes ..." in run(*compile_).err


def test_compile_without_notes(run: Run) -> None:
    ran = run("corpus", "compile")
    assert (ran.code, ran.out) == (3, "")
    assert "no folder of notes to compile; name one with --corpus" in ran.err
    assert len(ran.err.splitlines()) == 1


def test_interruption_is_said_in_one_word(run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(ask, "open_pack", interrupted)
    ran = run("--pack", str(mini_pack_path), "ask", "x")
    assert (ran.code, ran.out, ran.err) == (130, "", "interrupted\n")


def test_too_little_memory_is_said_in_one_line(run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def too_much(*_: object) -> None:
        raise MemoryError("Unable to allocate 3.37 GiB")

    monkeypatch.setattr(ask, "open_pack", too_much)
    ran = run("--pack", str(mini_pack_path), "ask", "x")
    assert (ran.code, ran.out) == (3, "")
    assert ran.err == "not enough memory: end other programs, or work on fewer notes at once\n"


SLOW_COMPILE = """
import sys, time
from assistant.cli.main import main
from assistant.compiling import compiler
whole = compiler.pack_postings
def slow(*postings):
    print("compiling", flush=True)
    time.sleep(120)
    return whole(*postings)
compiler.pack_postings = slow
main(sys.argv[1:])
"""


@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGKILL])
def test_compile_that_is_broken_off_leaves_the_old_pack(
    run: Run, two_notes: Path, tmp_path: Path, sent: signal.Signals
) -> None:
    pack = tmp_path / "packs" / "m.pack"
    arguments = ["corpus", "compile", "--corpus", str(two_notes), "--pack", str(pack)]
    assert run(*arguments).code == 0
    before = {path.name: path.read_bytes() for path in pack.parent.iterdir()}
    (two_notes / "uncovered.txt").write_text("what is the weather\n")
    with subprocess.Popen(
        [sys.executable, "-c", SLOW_COMPILE, *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"compiling\n"
        process.send_signal(sent)
        _, error = process.communicate(timeout=600)
    assert process.returncode == (130 if sent == signal.SIGINT else -signal.SIGKILL)
    assert pack.read_bytes() == before["m.pack"]
    if sent == signal.SIGINT:
        assert error.decode().splitlines()[-1] == "interrupted"
        assert {path.name: path.read_bytes() for path in pack.parent.iterdir()} == before
    with Pack(pack) as opened:
        assert Assistant(opened).ask("lamp is dark")[0].pack == opened.digest
    ran = run("ask", "lamp is dark", "--corpus", str(two_notes), "--pack", str(pack))
    assert ran.code in (0, 1)
    assert "Reading the notes, which have changed ..." in ran.err
