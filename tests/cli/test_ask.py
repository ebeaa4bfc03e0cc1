"""``assistant ask`` and ``assistant show``."""

from __future__ import annotations

import fcntl
import json
import os
import pty
import struct
import subprocess
import sys
import termios
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

from assistant.answering.assistant import Assistant
from assistant.answering.contract import answer_to_json
from assistant.cli.output import answer_line, answer_text
from assistant.notes.reader import read_note
from assistant.pack.reader import Pack
from tests.cli.conftest import Ran, Run, spawn
from tests.making import NOTE_PATH, NOTE_TEXT, answer_of, changed

CAP = "controller stick cap broken?"
GOLDEN = Path(__file__).parent / "golden"


@pytest.fixture
def ask(run: Run, mini_pack_path: Path) -> Callable[..., Ran]:
    return lambda *arguments, **more: run("--pack", str(mini_pack_path), *arguments, **more)


def lines(text: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in text.splitlines()]


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("answer", ["ask", CAP]),
        ("choose", ["ask", "no power on the tv"]),
        ("none", ["ask", "when do i get paid"]),
        ("danger", ["ask", "smoke from the controller lead"]),
        ("show", ["show", "disc-clean"]),
    ],
)
def test_text(ask: Callable[..., Ran], mini_pack: Pack, name: str, arguments: list[str]) -> None:
    ran = ask(*arguments)
    assert ran.out == (GOLDEN / f"{name}-80.txt").read_text("utf-8")
    assert ran.err == ""
    assert ran.code == (1 if name == "none" else 0)
    assistant = Assistant(mini_pack)
    answer, _ = assistant.ask(arguments[1]) if arguments[0] == "ask" else assistant.show(arguments[1])
    for width in (80, 40, 20):
        text = answer_text(answer, width)
        assert all(len(line) <= width or " " not in line.strip() for line in text.splitlines())
        assert "".join(text.split()) == "".join(ran.out.split())
    assert answer_text(answer, 40) == (GOLDEN / f"{name}-40.txt").read_text("utf-8")


def test_text_is_as_wide_as_the_terminal(mini_pack_path: Path) -> None:
    outer, inner = pty.openpty()
    fcntl.ioctl(inner, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 40, 0, 0))
    arguments = [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path), "ask", CAP]
    with subprocess.Popen(arguments, stdout=inner, stderr=subprocess.PIPE) as process:
        os.close(inner)
        raw = b""
        with suppress(OSError):  # the terminal is gone once the process has ended
            while piece := os.read(outer, 65536):
                raw += piece
        process.communicate(timeout=600)
    os.close(outer)
    assert raw.decode().replace("\r\n", "\n") == (GOLDEN / "answer-40.txt").read_text("utf-8")


def test_json_is_the_contract(ask: Callable[..., Ran], mini_pack: Pack) -> None:
    ran = ask("ask", CAP, "--format", "json")
    expected = answer_to_json(Assistant(mini_pack).ask(CAP)[0])
    assert (ran.code, ran.err) == (0, "")
    assert lines(ran.out) == [expected]
    assert list(lines(ran.out)[0]) == list(expected)
    assert len(ran.out.splitlines()) == 1
    assert lines(ask("show", "pad-stick-cap", "--format=json").out)[0]["note"] == expected["note"]


def test_words_of_a_question_need_no_quotes(ask: Callable[..., Ran]) -> None:
    assert ask("ask", *CAP.split()).out == ask("ask", CAP).out


def test_nothing_answered_is_exit_code_one(ask: Callable[..., Ran]) -> None:
    ran = ask("ask", "when do i get paid", "--format", "json")
    assert (ran.code, lines(ran.out)[0]["decision"]) == (1, "none")


def test_places_may_stand_before_and_after_the_command(run: Run, mini_pack_path: Path) -> None:
    pack = str(mini_pack_path)
    outs = {
        run(*arguments).out
        for arguments in (
            ("--pack", pack, "ask", CAP),
            (f"--pack={pack}", "ask", CAP),
            ("ask", "--pack", pack, CAP),
            ("ask", CAP, "--pack", pack),
            ("--home", "ask", "ask", "--pack", pack, CAP),
        )
    }
    assert len(outs) == 1


def test_environment_names_the_pack(run: Run, mini_pack_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ASSISTANT_PACK", str(mini_pack_path))
    assert run("ask", CAP).code == 0


def test_notes_are_compiled_before_the_first_question(run: Run, two_notes: Path) -> None:
    ran = run("--corpus", str(two_notes), "ask", "lamp of the pad is dark")
    assert ran.err == "Reading the notes for the first time, once ...\n"
    assert "..." not in ran.out
    assert run("--corpus", str(two_notes), "ask", "lamp of the pad is dark").err == ""
    note = two_notes / NOTE_PATH
    note.write_text(note.read_text("utf-8").replace("Look at the lamp", "Look hard at the lamp"), "utf-8")
    changed_since = run("--corpus", str(two_notes), "ask", "lamp of the pad is dark").err
    assert changed_since == "Reading the notes, which have changed ...\n"


def test_batch(ask: Callable[..., Ran], mini_pack: Pack) -> None:
    asked: list[dict[str, Any]] = [
        {"id": "a", "question": CAP},
        {"id": 2, "question": "screen says no signal"},
        {"id": "c", "question": "when do i get paid"},
        {"id": "d", "question": ""},
    ]
    text = "\n\n".join(json.dumps(record) for record in asked)
    ran = ask("ask", "--batch", "-", stdin=text.encode())
    assert (ran.code, ran.err) == (0, "")
    assistant = Assistant(mini_pack)
    assert lines(ran.out) == [answer_to_json(assistant.ask(str(r["question"]), id=str(r["id"]))[0]) for r in asked]


def test_batch_from_a_file_is_the_same(ask: Callable[..., Ran], tmp_path: Path) -> None:
    raw = json.dumps({"id": "a", "question": CAP}).encode()
    (tmp_path / "asked.jsonl").write_bytes(raw)
    assert ask("ask", "--batch", "asked.jsonl") == ask("ask", "--batch", "-", stdin=raw)
    ran = ask("ask", "--batch", "none.jsonl")
    assert (ran.code, ran.out, ran.err) == (3, "", "none.jsonl: No such file or directory\n")


def test_talks_of_a_batch_do_not_mix(ask: Callable[..., Ran]) -> None:
    turns: list[tuple[Any, str]] = [
        ("one", CAP),
        (7, "fingerprints on the game disc"),
        ("one", "how long"),
        (7, "how long"),
        (None, "how long"),
        ("two", CAP),
        (7, "and then"),
        ("two", "the other one"),
    ]
    text = "\n".join(
        json.dumps({"id": n, "question": q, **({"conversation": t} if t else {})}) for n, (t, q) in enumerate(turns)
    )
    answers = lines(ask("ask", "--batch", "-", stdin=text.encode()).out)
    assert [a["id"] for a in answers] == [str(n) for n in range(len(turns))]
    assert [a["note"]["id"] for a in answers[:4]] == ["pad-stick-cap", "disc-clean", "pad-stick-cap", "disc-clean"]
    assert [a["text"] for a in answers[2:4]] == ["About 6 minutes.", "About 5 minutes."]
    assert answers[4]["about"] != "time" or answers[4]["note"] is None or answers[4]["text"] != answers[2]["text"]
    assert (answers[6]["note"]["id"], answers[6]["about"]) == ("disc-clean", "next_step")
    assert answers[7]["note"]["id"] == answers[5]["options"][0]["id"]


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"{", "not a JSON object"),
        (b"[" * 100_000, "not a JSON object"),
        (b"[]", "needs an object with 'id' and the text 'question'"),
        (b"null", "needs an object with 'id' and the text 'question'"),
        (b'{"id": "b"}', "needs an object with 'id' and the text 'question'"),
        (b'{"id": "b", "question": 3}', "needs an object with 'id' and the text 'question'"),
        (b'{"question": "x"}', "'id' is missing: give each line one of its own, text or a number"),
        (b'{"id": [], "question": "x"}', "'id' must be text or a number"),
        (b'{"id": 1, "question": "x", "conversation": []}', "'conversation' must be text or a number"),
        (b"\xff", "not valid UTF-8"),
    ],
)
def test_bad_line_of_a_batch_is_named(ask: Callable[..., Ran], raw: bytes, message: str) -> None:
    good = json.dumps({"id": "a", "question": CAP}).encode()
    ran = ask("ask", "--batch", "-", stdin=good + b"\n\n" + raw + b"\n" + good)
    assert ran.code == 3
    assert ran.err == f"standard input:3: {message}\n"
    assert [answer["id"] for answer in lines(ran.out)] == ["a"]


HOSTILE = "stick cap \x1b[31mred\x1b[0m\x07 \x9b31m [bold]x[/bold] \u202e \u2028 <b>y</b>"


def harmless(text: str) -> bool:
    return all(line.isprintable() for line in text.split("\n"))


@pytest.mark.parametrize("form", ["text", "json"])
def test_hostile_question_never_reaches_the_terminal(ask: Callable[..., Ran], form: str) -> None:
    ran = ask("ask", HOSTILE, "--format", form)
    assert harmless(ran.out)
    assert harmless(ran.err)


def test_hostile_id_of_a_batch_comes_back_whole_and_harmless(ask: Callable[..., Ran]) -> None:
    for asked in (HOSTILE, "\ud800 alone", "caf\u00e9"):
        ran = ask("ask", "--batch", "-", stdin=json.dumps({"id": asked, "question": CAP}).encode())
        assert ran.code == 0
        assert harmless(ran.out)
        assert lines(ran.out)[0]["id"] == asked


def test_hostile_note_never_reaches_the_terminal() -> None:
    note = read_note(NOTE_TEXT, NOTE_PATH)
    message = changed(note.safety[0], text=HOSTILE, signal="DANGER\x1b")
    bad = changed(note, title=HOSTILE, parts=(HOSTILE,), sources=(HOSTILE,), result=HOSTILE, id=HOSTILE)
    answer = answer_of(changed(bad, safety=(message,)), read_as=HOSTILE)
    step = changed(answer.steps[1], text=HOSTILE, branches=(HOSTILE,))
    answer = changed(answer, steps=(answer.steps[0], step))
    assert harmless(answer_text(answer))
    assert "[bold]x[/bold]" in answer_text(answer, 200)
    assert "\x1b" not in answer_line(answer)
    assert harmless(answer_line(answer))
    assert json.loads(answer_line(answer)) == answer_to_json(answer)


def test_hostile_text_of_a_note_is_refused_and_told_harmlessly(run: Run, two_notes: Path) -> None:
    note = two_notes / "pad/pad-demo.md"
    note.write_text(NOTE_TEXT.replace("title: Pad", 'title: "\\e[31mPad').replace("dark\nst", 'dark"\nst'))
    ran = run("--corpus", str(two_notes), "ask", CAP)
    assert (ran.code, ran.out) == (3, "")
    assert ran.err.endswith("pad/pad-demo.md:3: 'title' holds a control character (U+001B)\n")
    (two_notes / "pad/pad-\x1b[31m.md").write_text("x")
    ran = run("--corpus", str(two_notes), "ask", CAP)
    assert ran.code == 3
    assert harmless(ran.err)


def test_show_an_unknown_note(ask: Callable[..., Ran]) -> None:
    ran = ask("show", "pad-gone")
    assert (ran.code, ran.out, ran.err) == (2, "", "no note 'pad-gone' in this pack\n")


def test_in_another_process_with_a_narrow_encoding(mini_pack_path: Path) -> None:
    arguments = ["--pack", str(mini_pack_path), "ask", "stick caps \u00e9\u00e8 \u4e2d\u6587 torn"]
    ran = spawn(arguments, PYTHONIOENCODING="ascii")
    assert (ran.code, ran.err) == (0, "")
    assert "\\u4e2d" in ran.out
    assert "\u4e2d\u6587" in spawn(arguments, PYTHONIOENCODING="utf-8").out


def test_arguments_that_are_no_text(mini_pack_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path), "ask", b"stick cap \xff\xfe torn"],
        capture_output=True,
        timeout=600,
        check=False,
    )
    assert (ran.returncode, ran.stderr) == (0, b"")


@pytest.mark.parametrize("form", ["text", "json"])
def test_closed_pipe_is_no_error(mini_pack_path: Path, form: str) -> None:
    read, write = os.pipe()
    os.close(read)
    with os.fdopen(write, "wb") as closed:
        ran = subprocess.run(
            [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path), "ask", CAP, "--format", form],
            stdout=closed,
            stderr=subprocess.PIPE,
            timeout=600,
            check=False,
        )
    assert (ran.returncode, ran.stderr) == (0, b"")


def test_full_device_is_said_in_one_line(mini_pack_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run(
            [sys.executable, "-m", "assistant", "--pack", str(mini_pack_path), "ask", CAP],
            stdout=full,
            stderr=subprocess.PIPE,
            timeout=600,
            check=False,
        )
    assert (ran.returncode, ran.stderr) == (3, b"output: No space left on device\n")
