"""Lets writers of a journal be killed at random moments after some confirmations, and says what became of those.

Run as ``python killing.py JOURNAL_FOLDER KILLS record|entry``; prints JSON. A writer writes single records, or entries
of several records each. It forks, so it has no threads and is no test itself.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

from assistant.journal.records import KINDS, Remark, Undo, kind_name
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.visiting.recorder import Recorder
from assistant.visiting.station_entry import StationEntry, record_station

_KILLS_A_JOURNAL = 50
_MOST_AWAITED = 3
_NOTE = Note("n", "t", ("all",), "replace", 5, (), (), (), 1, "", (), "", (), (), "", "")
_TOLD = StationEntry(
    "A-1", "fault", "dark", note=_NOTE, outcome="replaced", used=("2 x",), wanted=("y",), remarks=("one", "two")
)
_WHOLE = {"sighting": 1, "work": 1, "part": 2, "remark": 2, "outcome": 1}
_HELD = tuple(kind_name(kind) for kind in KINDS if "entry" in kind._fields and kind is not Undo)


def _records(path: Path) -> Iterator[int]:
    with Journal(path) as journal:
        while True:
            yield journal.add(Remark("confirmed")).id


def _entries(path: Path) -> Iterator[int]:
    with Journal(path) as journal:
        recorder = Recorder(journal)
        with journal.writing():
            if recorder.visit is None:
                recorder.open_visit("S-1")
        while True:
            yield getattr(record_station(recorder, _TOLD)[0], "entry", 0)


_WRITERS: dict[str, tuple[Callable[[Path], Iterator[int]], str, float]] = {
    "record": (_records, "remark", 0.003),
    "entry": (_entries, "entry", 0.02),
}
"""What writes, the table in which its confirmed numbers are, and the most seconds after a confirmation."""


def _kill_one(path: Path, write: Callable[[Path], Iterator[int]], awaited: int, delay: float) -> list[int]:
    """Kill a writer ``delay`` seconds after it confirmed so many; return the numbers that it had confirmed."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        for number in write(path):
            os.write(writing, b"%d\n" % number)
    os.close(writing)
    with os.fdopen(reading, "rb") as stream:
        told = [stream.readline() for _ in range(awaited)]
        time.sleep(delay)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return [int(line) for line in (*told, *stream) if line.endswith(b"\n")]


def _numbers(db: sqlite3.Connection, table: str) -> set[int]:
    """Return the numbers of the records in a table, which may not be there yet."""
    if not db.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (table,)).fetchone():
        return set()
    return {row[0] for row in db.execute(f"SELECT id FROM {table}")}


def _halves(db: sqlite3.Connection) -> int:
    """Return how many entries are not whole: some of what was written with it is missing, or the entry itself is."""
    entries = _numbers(db, "entry")
    found: dict[int, Counter[str]] = {entry: Counter() for entry in entries}
    for table in _HELD if entries else ():
        for (entry,) in db.execute(f"SELECT entry FROM {table} WHERE entry IS NOT NULL"):
            found.setdefault(entry, Counter())[table] += 1
    return sum(entry not in entries or held not in (_WHOLE, {"visit": 1}) for entry, held in found.items())


def main() -> None:
    """Kill so many writers, and check the journal after each."""
    folder, kills = Path(sys.argv[1]), int(sys.argv[2])
    write, table, latest = _WRITERS[sys.argv[3]]
    drawn = random.Random(7)
    awaited = confirmed = lost = unwell = halves = 0
    known: dict[Path, set[int]] = {}
    for number in range(kills):
        path = folder / f"{number // _KILLS_A_JOURNAL}.db"
        wanted = drawn.randint(0, _MOST_AWAITED)
        told = set(_kill_one(path, write, wanted, drawn.uniform(0, latest)))
        awaited += wanted
        confirmed += len(told)
        known.setdefault(path, set()).update(told)
        if not path.exists() or not path.stat().st_size:
            lost += len(known[path])
            continue
        with closing(sqlite3.connect(path)) as db:
            unwell += db.execute("PRAGMA integrity_check").fetchone() != ("ok",)
            lost += len(known[path] - _numbers(db, table))
            halves += _halves(db)
    found = {"kills": kills, "awaited": awaited, "confirmed": confirmed}
    print(json.dumps({**found, "lost": lost, "unwell": unwell, "halves": halves}))


if __name__ == "__main__":
    main()
