"""Lets writers of a journal be killed at random moments after some confirmations, and says what became of those.

Run as ``python killing.py JOURNAL_FOLDER KILLS``; prints JSON. It forks, so it has no threads and is no test itself.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import sys
import time
from contextlib import closing
from pathlib import Path

from assistant.journal.records import Remark
from assistant.journal.store import Journal

_KILLS_A_JOURNAL = 50
_MOST_AWAITED = 3


def _write(path: Path, pipe: int) -> None:
    with Journal(path) as journal:
        while True:
            os.write(pipe, b"%d\n" % journal.add(Remark("confirmed")).id)


def _kill_one(path: Path, awaited: int, delay: float) -> list[int]:
    """Kill a writer ``delay`` seconds after it confirmed so many records; return the numbers that it had confirmed."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        _write(path, writing)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        told = [stream.readline() for _ in range(awaited)]
        time.sleep(delay)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return [int(line) for line in (*told, *stream) if line.endswith(b"\n")]


def main() -> None:
    """Kill so many writers, and check the journal after each."""
    folder, kills = Path(sys.argv[1]), int(sys.argv[2])
    drawn = random.Random(7)
    awaited = confirmed = lost = unwell = 0
    known: dict[Path, set[int]] = {}
    for number in range(kills):
        path = folder / f"{number // _KILLS_A_JOURNAL}.db"
        wanted = drawn.randint(0, _MOST_AWAITED)
        told = set(_kill_one(path, wanted, drawn.uniform(0, 0.003)))
        awaited += wanted
        confirmed += len(told)
        known.setdefault(path, set()).update(told)
        if not path.exists() or not path.stat().st_size:
            lost += len(known[path])
            continue
        with closing(sqlite3.connect(path)) as db:
            unwell += db.execute("PRAGMA integrity_check").fetchone() != ("ok",)
            if db.execute("SELECT 1 FROM sqlite_master WHERE name = 'remark'").fetchone():
                there = {row[0] for row in db.execute("SELECT id FROM remark")}
            else:
                there = set()
            lost += len(known[path] - there)
    print(json.dumps({"kills": kills, "awaited": awaited, "confirmed": confirmed, "lost": lost, "unwell": unwell}))


if __name__ == "__main__":
    main()
