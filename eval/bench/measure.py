"""Processes and their cost; ways that take turns."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple, TypeVar

from eval.bench.figures import Figure

__all__ = ["ASSISTANT", "PYTHON", "Cost", "cost_of", "costs", "environment", "in_turn"]

T = TypeVar("T")
PYTHON = sys.executable
ASSISTANT = str(Path(PYTHON).with_name("assistant"))
_LAUNCH = str(Path(__file__).with_name("launch.py"))


class Cost(NamedTuple):
    """Seconds on the clock, seconds of all processors (user and system), and most memory held, in MB of 1024 x 1024."""

    wall: float
    cpu: float
    peak: float


def environment(**changes: str) -> dict[str, str]:
    """Return this process's environment, without what would keep compiled modules from being stored or move places."""
    dropped = {"PYTHONDONTWRITEBYTECODE", "ASSISTANT_PACK", "ASSISTANT_CORPUS"}
    return {name: value for name, value in os.environ.items() if name not in dropped} | changes


def cost_of(
    command: Sequence[str],
    *,
    env: Mapping[str, str] | None = None,
    cwd: Path | None = None,
    codes: Collection[int] = (0,),
    stdin: Path | None = None,
    stdout: Path | None = None,
) -> Cost:
    """Run a command as a process of its own and return what it cost.

    Parameters
    ----------
    codes
        Exit codes with which it may leave.
    stdout
        Where its output goes; nowhere if None.

    Raises
    ------
    RuntimeError
        If it leaves with another code, or by an error of Python, with the end of what it said.
    """
    with tempfile.TemporaryDirectory() as folder:
        report, said = Path(folder, "cost.json"), Path(folder, "said")
        with (
            Path(stdin or os.devnull).open("rb") as asked,
            Path(stdout or os.devnull).open("wb") as output,
            said.open("wb") as errors,
        ):
            launcher = [PYTHON, "-I", "-S", _LAUNCH, str(report), *command]
            subprocess.run(
                launcher, check=True, stdin=asked, stdout=output, stderr=errors, cwd=cwd, env=env or environment()
            )
        cost = json.loads(report.read_text("utf-8"))
        told = said.read_text("utf-8", "replace")[-2000:]
        if cost["code"] not in codes or "Traceback (most recent call last)" in told:
            raise RuntimeError(f"{' '.join(command)[:300]}: exit code {cost['code']}\n{told}")
    return Cost(cost["wall"], cost["cpu"], cost["peak"])


def in_turn(ways: Mapping[str, Callable[[], T]], runs: int) -> dict[str, list[T]]:
    """Run each way once, then each once more, ``runs`` times, so that what else the machine does meets all alike."""
    found: dict[str, list[T]] = {name: [] for name in ways}
    for _ in range(runs):
        for name, way in ways.items():
            found[name].append(way())
    return found


def costs(subset: str, case: str, measured: Mapping[str, Sequence[Cost]], peer: str, size: int = 0) -> Iterator[Figure]:
    """Yield the figures of processes: clock and processors in ms, memory in MB."""
    for way, found in measured.items():
        for unit, values in (
            ("ms", [1000 * cost.wall for cost in found]),
            ("CPU ms", [1000 * cost.cpu for cost in found]),
            ("peak MB", [cost.peak for cost in found]),
        ):
            yield Figure(subset, case, way, unit, tuple(values), peer, size)
