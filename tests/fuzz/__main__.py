"""Go round the targets with fresh seeds for so many minutes: ``python -m tests.fuzz --minutes 30``.

Tells inputs and seconds by target. What fails is made small and kept in ``tests/fuzz/found``, where the tests try it
ever after; the exit code is then 1. An input that takes longer than a minute of the processor counts as one that hangs,
so that a busy machine finds none; the times told are of the processor too.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import secrets
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path
from types import FrameType
from typing import Any

from hypothesis import HealthCheck, Phase, Verbosity, given, seed, settings

from tests.fuzz.bench import Bench, Target
from tests.fuzz.targets import FOUND, TARGETS

_LONGEST_SECONDS = 60
_INPUTS_A_ROUND = 100


class HangError(Exception):
    """One input took too long."""


class Rounds:
    """What was tried so far."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.inputs: Counter[str] = Counter()
        self.seconds: dict[str, float] = {}
        self.longest: dict[str, float] = {}
        self.found: dict[str, str] = {}

    def attack(self, target: Target, chosen: int) -> None:
        """Hand a target one round of inputs; what fails is kept."""
        last: list[Any] = []

        @seed(chosen)
        @settings(
            max_examples=_INPUTS_A_ROUND,
            database=None,
            deadline=None,
            phases=(Phase.generate, Phase.shrink),
            suppress_health_check=list(HealthCheck),
            verbosity=Verbosity.quiet,
            report_multiple_bugs=False,
        )
        @given(target.inputs)
        def one(drawn: Any) -> None:
            last[:] = [drawn]
            self.inputs[target.name] += 1
            begun = time.process_time()
            signal.setitimer(signal.ITIMER_PROF, _LONGEST_SECONDS)
            try:
                target.check(self.bench, drawn)
            finally:
                signal.setitimer(signal.ITIMER_PROF, 0)
                self.longest[target.name] = max(self.longest.get(target.name, 0.0), time.process_time() - begun)

        begun = time.process_time()
        try:
            one()
        except Exception as error:
            self._keep(target, last[0], error)
        self.seconds[target.name] = self.seconds.get(target.name, 0.0) + time.process_time() - begun

    def _keep(self, target: Target, drawn: Any, error: Exception) -> None:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        where = f"{target.name}: {type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}"
        if where in self.found:
            return
        text = json.dumps({"target": target.name, "input": drawn}, indent=1) + "\n"
        path = FOUND / f"{target.name}-{hashlib.sha256(text.encode()).hexdigest()[:12]}.json"
        path.write_text(text, "utf-8")
        self.found[where] = path.name
        print(f"FOUND {where}: {str(error)[:300]!a}\n  kept in {path}", flush=True)


def _hang(_: int, __: FrameType | None) -> None:
    raise HangError(f"took longer than {_LONGEST_SECONDS} s of the processor")


def main() -> int:
    """Run the command."""
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz", description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--target", choices=[target.name for target in TARGETS], action="append")
    options = parser.parse_args()
    signal.signal(signal.SIGPROF, _hang)
    chosen = [target for target in TARGETS if not options.target or target.name in options.target]
    FOUND.mkdir(exist_ok=True)
    begun = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        rounds = Rounds(Bench(Path(folder)))
        while time.monotonic() - begun < options.minutes * 60:
            for target in chosen:
                rounds.attack(target, secrets.randbits(32))
    for target in chosen:
        told = f"{rounds.inputs[target.name]} inputs, {rounds.seconds[target.name]:.0f} s"
        print(f"{target.name}: {told}, longest {rounds.longest[target.name]:.2f} s")
    print(f"{rounds.inputs.total()} inputs, {time.monotonic() - begun:.0f} s, {len(rounds.found)} found")
    return 1 if rounds.found else 0


if __name__ == "__main__":
    sys.exit(main())
