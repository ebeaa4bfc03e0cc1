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
_SIZE = struct.pack("HHHH", 30, 100, 0, 0)
_ESCAPES = re.compile(rb"\x1b(?:\[[0-?]*[ -/]*[@-~]|[@-Z\\-_]|\][^\x07\x1b]*(?:\x07|\x1b\\))")
_NEVER_SECONDS = 60.0
_QUIET_SECONDS = 0.3
"""After so long without a byte the screen is taken to be done."""


def screen(ground: Ground) -> Iterator[Figure]:
    """Yield milliseconds to the first frame, from a key to its echo and from Enter to the card, and the memory held."""
    folder = ground.work / "screen"
    folder.mkdir()
    app = folder / "app.py"
    app.write_text(APP, "utf-8")
    ways = {
        OURS: [ASSISTANT, "--pack", str(ground.pack), *ground.home("screen")],
        PEER: [PYTHON, str(app)],
    }
    calls = {way: (lambda command=command: _sitting(command, folder)) for way, command in ways.items()}
    in_turn(calls, 1)
    found = in_turn(calls, ground.runs)
    cases = [("first frame", "ms")]
    cases += [(f"{n}. {what}", "ms") for n in (1, 2) for what in ("question, key to echo", "question, Enter to card")]
    cases += [("held", "MB")]
    for place, (case, unit) in enumerate(cases):
        for way, sittings in found.items():
            yield Figure("screen", case, way, unit, tuple(sitting[place] for sitting in sittings), PEER)


def _sitting(command: Sequence[str], folder: Path) -> list[float]:
    """Start, ask, leave; return milliseconds to the last byte of first frame, each echo and each card, and MB held."""
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
        found = [_painted(ours) - began]
        for question in QUESTIONS:
            found.append(_pressed(ours, question[:1]))
            _pressed(ours, question[1:])
            found.append(_pressed(ours, "\r"))
        return [*(1000 * seconds for seconds in found), _held(process.pid)]
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
