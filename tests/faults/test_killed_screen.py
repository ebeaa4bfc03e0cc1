"""The screen of a visit that is killed while a rep records: each entry is there whole, or not at all."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("SCREEN_KILLS", "10"))


def test_of_a_killed_screen_every_entry_is_whole_or_absent(tmp_path: Path) -> None:
    ran = subprocess.run(
        [sys.executable, str(Path(__file__).with_name("killing_screen.py")), str(tmp_path), str(KILLS)],
        capture_output=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), "ASSISTANT_HOME": str(tmp_path)},
        check=False,
    )
    assert ran.returncode == 0, ran.stderr.decode()
    found = json.loads(ran.stdout)
    assert (found["kills"], found["unwell"], found["halves"]) == (KILLS, 0, 0), found
    several = ("controller stick cap broken?", "replaced", "released, passes", "handed over to the support desk")
    assert any(found["said"].get(words) for words in several), found["said"]
