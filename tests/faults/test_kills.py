"""Commands that are killed: what they write is whole before or whole after, and the next run leaves nothing behind.

Of ``desk take`` each file is: it writes two, and one that is killed between them has taken some of the questions, which
a second run completes.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("ASSISTANT_KILLS", "20"))
"""Of each command; 334 for the whole run."""


@pytest.mark.parametrize("command", ["compile", "take", "erase"])
def test_a_killed_command_leaves_all_whole_and_the_next_run_nothing_behind(tmp_path: Path, command: str) -> None:
    ran = subprocess.run(
        [sys.executable, "-m", "tests.faults.killing_commands", str(tmp_path), str(KILLS), command],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"},
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    found = json.loads(ran.stdout)
    assert found["kills"] == KILLS
    assert found["events"] >= 2
    assert found["aimed_killed"] == found["aimed"] == (KILLS + 1) // 2
    assert (found["halves"], found["left"]) == (0, 0), found
