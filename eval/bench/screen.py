"""The terminal screen: from the command to the first frame, and from a key to the card, on a terminal of its own."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import termios
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from eval.bench.figures import Figure
from eval.bench.ground import Ground
from eval.bench.measure import ASSISTANT, PYTHON, environment, in_turn

__all__ = ["screen"]

OURS, PEER = "assistant", "an app of one input"
APP = """
from textual.app import App
from textual.widgets import Input, Static

class Echo(App):
    def compose(self):
        yield Static("")
        yield Input(placeholder="the first frame stands")
    def on_input_submitted(self, event):
        self.query_one(Static).update("the card stands")

Echo().run()
"""
QUESTIONS = ("stick cap torn", "no picture on the screen")
"""What each sitting begins with; the first question finds nothing read yet."""
_MORE = 8
"""Labelled questions that are asked after them."""
_SIZE = struct.pack("HHHH", 30, 100, 0, 0)
_ESCAPES = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[@-Z\\-_]|\][^\x07\x1b]*(?:\x07|\x1b\\))")
_NEVER_SECONDS = 60.0
_QUIET_SECONDS = 0.3
"""After so long without a byte the screen is taken to be done."""


class _Sitting(NamedTuple):
    """Milliseconds to the first frame, by the clock and of processors; of each question to echo and card; MB held.

    What processors spend on a card counts until the screen is done.
    """

    frame: float
    cpu: float
    echoes: tuple[float, ...]
    cards: tuple[float, ...]
    spent: tuple[float, ...]
    held: float


def screen(ground: Ground) -> Iterator[Figure]:
    """Yield what the first frame costs, times from a key to its echo and from Enter to the card, and memory held."""
    folder = ground.work / "screen"
    folder.mkdir()
    app = folder / "app.py"
    app.write_text(APP, "utf-8")
    asked = (*QUESTIONS, *ground.questions[:_MORE])
    ways = {
        OURS: [ASSISTANT, "--pack", str(ground.pack), *ground.home("screen")],
        PEER: [PYTHON, str(app)],
    }
    calls = {way: (lambda command=command: _sitting(command, folder, asked)) for way, command in ways.items()}
    in_turn(calls, 1)
    for way, sittings in in_turn(calls, ground.runs).items():
        for case, unit, values in _cases(sittings):
            yield Figure("screen", case, way, unit, tuple(values), PEER)


def _cases(sittings: Sequence[_Sitting]) -> Iterator[tuple[str, str, list[float]]]:
    """Yield case, unit and values; of the questions after the first each time is a value of its own."""
    yield "first frame", "ms", [one.frame for one in sittings]
    yield "first frame", "CPU ms", [one.cpu for one in sittings]
    for what, unit, times in (
        ("key to echo", "ms", [one.echoes for one in sittings]),
        ("Enter to card", "ms", [one.cards for one in sittings]),
        ("Enter to card", "CPU ms", [one.spent for one in sittings]),
    ):
        yield f"first question, {what}", unit, [first for first, *_ in times]
        yield f"later questions, {what}", unit, [value for _, *later in times for value in later]
    yield "held", "MB", [one.held for one in sittings]


def _sitting(command: Sequence[str], folder: Path, asked: Sequence[str]) -> _Sitting:
    """Start, ask, leave; times are to the last byte that is painted."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, _SIZE)
    began = time.perf_counter()
    process = subprocess.Popen(
        command,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        cwd=folder,
        env=environment(TERM="xterm-256color", COLUMNS="100", LINES="30"),
        start_new_session=True,
    )
    os.close(theirs)
    try:
        frame, cpu = _painted(ours) - began, _spent(process.pid)
        echoes, cards, spent = [], [], []
        for question in asked:
            echoes.append(1000 * _pressed(ours, question[:1]))
            _pressed(ours, question[1:])
            before = _spent(process.pid)
            cards.append(1000 * _pressed(ours, "\r"))
            spent.append(1000 * (_spent(process.pid) - before))
        return _Sitting(1000 * frame, 1000 * cpu, tuple(echoes), tuple(cards), tuple(spent), _held(process.pid))
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
        os.close(ours)


def _pressed(terminal: int, keys: str) -> float:
    """Send keys and return the seconds until what they do is painted."""
    began = time.perf_counter()
    os.write(terminal, keys.encode())
    return _painted(terminal) - began


def _painted(terminal: int) -> float:
    """Read until nothing more comes and return when the last byte with something to see came."""
    last = 0.0
    until = time.perf_counter() + _NEVER_SECONDS
    while time.perf_counter() < until:
        ready, _, _ = select.select([terminal], [], [], _QUIET_SECONDS if last else _NEVER_SECONDS)
        if not ready:
            break
        if _ESCAPES.sub(b"", os.read(terminal, 1 << 16)).strip():
            last = time.perf_counter()
    if not last:
        raise RuntimeError("the screen painted nothing")
    return last


def _held(pid: int) -> float:
    """Return the MB that a process holds in memory; nan where the system does not tell."""
    status = Path(f"/proc/{pid}/status")
    if not status.exists():
        return float("nan")
    return int(re.findall(r"VmRSS:\s+(\d+)", status.read_text("ascii"))[0]) / 1024


def _spent(pid: int) -> float:
    """Return the seconds of all processors that a process has taken so far; nan where the system does not tell."""
    tasks = sorted(Path(f"/proc/{pid}/task").glob("*/schedstat"))
    return sum(int(task.read_text("ascii").split()[0]) for task in tasks) / 1e9 if tasks else float("nan")
