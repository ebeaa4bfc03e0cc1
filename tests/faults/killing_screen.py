"""A visit screen that records without end, and whoever kills it at random moments and looks at the journal.

Run as ``python killing_screen.py FOLDER KILLS``; prints JSON. The screen is driven without a terminal in a process that
is forked for each kill, so this has no threads and is no test itself.
"""

from __future__ import annotations

import asyncio
import json
import os
import random
import signal
import sqlite3
import sys
import time
import traceback
from collections import Counter
from contextlib import closing
from pathlib import Path

from textual.pilot import Pilot

from assistant.journal.records import KINDS, Undo, kind_name
from assistant.journal.store import Journal
from assistant.model import Note
from assistant.notes.corpus import read_corpus
from assistant.tui.ask.app import StationApp
from assistant.tui.common.question import QuestionLine
from assistant.tui.visit.screen import VisitScreen
from assistant.visiting.recorder import Recorder
from tests.making import TRADE
from tests.tui.conftest import ScriptedAsks

_KILLS_A_JOURNAL = 25
_STATIONS = ("A-1", "A-2", "A-3")
_HELD = tuple(kind_name(kind) for kind in KINDS if "entry" in kind._fields and kind is not Undo)
_CAP, _CAP_TITLE = "controller stick cap broken?", "Thumb stick cap torn or missing"
_ONE_OF = {
    "switched off by the staff": {"switchedoff": 1},
    "passes": {"sighting": 1},
    "still out of service": {"sighting": 1},
    "released, passes": {"sighting": 1, "release": 1},
    f"{_CAP_TITLE}: not mended": {"outcome": 1},
    f"{_CAP_TITLE}: replaced": {"outcome": 1, "part": 1, "swap": 1},
    f"{_CAP_TITLE}: handed over to the support desk": {"outcome": 1, "escalation": 1},
    f"{_CAP_TITLE}: taken out of service": {"outcome": 1},
    "handed over": {"escalation": 1},
}
"""What an entry holds, by its words behind the station."""


def _whole(says: str, held: Counter[str], *, stood_open: bool) -> bool:
    """Tell whether an entry holds what its words say; a work that stood open on the station is not begun again."""
    if says.startswith("visit at "):
        return held == {"visit": 1}
    if says.startswith("the rest pass: "):
        return held == {"sighting": int(says.split()[3])}
    told = says.partition(": ")[2]
    if told == _CAP:
        return held == ({"sighting": 1} if stood_open else {"sighting": 1, "work": 1})
    return held == _ONE_OF.get(told, {"sighting": 1})


class _Rep:
    """One rep at the screen, who types what fits and goes on after a refusal."""

    def __init__(self, pilot: Pilot[int], seed: int, told: int) -> None:
        self._pilot = pilot
        self._drawn = random.Random(seed)
        self._told = told

    async def _type(self, *texts: str) -> None:
        for text in texts:
            self._pilot.app.screen.query_one(QuestionLine).value = text
            await self._pilot.press("enter")
            await self._pilot.pause()
            os.write(self._told, b".")

    async def works(self) -> None:
        """Record without end; Esc leaves a question, or a work, that is not answered."""
        while True:
            station = self._drawn.choice(_STATIONS)
            acts = (self._passes, self._fault, self._work, self._work, self._rest, self._hand_over)
            await self._drawn.choice(acts)(station)
            while not self._on_the_round:
                await self._pilot.press("escape")
                await self._pilot.pause()

    @property
    def _on_the_round(self) -> bool:
        screen = self._pilot.app.screen
        return isinstance(screen, VisitScreen) and screen.at_visit.ask is None and not screen.at_visit.aside

    async def _passes(self, station: str) -> None:
        """A station out of service is asked for its release: who, number, day."""
        await self._type(f"{station} pass")
        if not self._on_the_round:
            await self._type("the desk", "J-7", "")

    async def _fault(self, station: str) -> None:
        await self._type(f"{station} fault hums", "1")

    async def _work(self, station: str) -> None:
        """Work through a note, end it early; where it is replaced, with a part and a unit that was exchanged."""
        await self._type(f"{station} fault {_CAP}", "1", "e")
        outcome = self._drawn.choice((("2", "1", "2", "console", "C-1", "C-2"), ("3", "", ""), ("4",), ("5",)))
        await self._type(*outcome)

    async def _rest(self, _: str) -> None:
        await self._type("rest", "1")

    async def _hand_over(self, station: str) -> None:
        await self._type(station, "4" if self._drawn.random() < 0.5 else "5", "it hums", "J-9")


async def _screen(path: Path, notes: dict[str, Note], seed: int, told: int) -> None:
    with Journal(path) as journal:
        recorder = Recorder(journal, TRADE)
        asks = ScriptedAsks(notes)
        app = StationApp(asks, str, notes.get, recorder)
        app.BOUNCE = 0.0
        async with app.run_test(size=(100, 30)) as pilot:
            await app.push_screen(VisitScreen(recorder, asks, notes.get))
            await pilot.pause()
            rep = _Rep(pilot, seed, told)
            if recorder.visit is None:
                await rep._type("S-014", "Ina", "")
            await rep.works()


def _kill_one(path: Path, notes: dict[str, Note], seed: int, awaited: int, delay: float) -> None:
    """Kill a screen ``delay`` seconds after it took so many lines."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.close(reading)
            asyncio.run(_screen(path, notes, seed, writing))
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(1)
    os.close(writing)
    with os.fdopen(reading, "rb", buffering=0) as stream:
        taken = [stream.read(1) for _ in range(awaited)]
        if b"" in taken:
            raise RuntimeError(f"the screen ended by itself after {taken.index(b'')} lines (seed {seed})")
        time.sleep(delay)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def _look(path: Path) -> tuple[bool, int, Counter[str]]:
    """Return whether a journal is unwell, how many entries are not whole, and how many there are by what they say."""
    with closing(sqlite3.connect(path)) as db:
        unwell = db.execute("PRAGMA integrity_check").fetchone() != ("ok",)
        entries = dict(db.execute("SELECT id, says FROM entry"))
        held: dict[int, Counter[str]] = {entry: Counter() for entry in entries}
        for table in _HELD:
            for (entry,) in db.execute(f"SELECT entry FROM {table} WHERE entry IS NOT NULL"):
                held.setdefault(entry, Counter())[table] += 1
        works = db.execute(
            "SELECT work.station, work.entry, outcome.entry FROM work LEFT JOIN outcome ON outcome.work = work.id"
        ).fetchall()
    halves = 0
    for entry, found in held.items():
        says = entries.get(entry, "")
        stood_open = any(
            says.startswith(f"{station}: ") and begun < entry and (ended is None or ended > entry)
            for station, begun, ended in works
        )
        halves += not _whole(says, found, stood_open=stood_open)
    return unwell, halves, Counter(says.rpartition(": ")[2] for says in entries.values())


def main() -> None:
    """Kill so many screens, and look at the journal after each."""
    folder, kills = Path(sys.argv[1]), int(sys.argv[2])
    notes = {note.id: note for note in read_corpus(Path(__file__).parents[1] / "data" / "mini").notes}
    notes["pad-stick-cap"] = notes["pad-stick-cap"]._replace(parts=("stick cap", "fault tag"))
    drawn = random.Random(7)
    unwell = halves = 0
    said: dict[Path, Counter[str]] = {}
    for number in range(kills):
        path = folder / f"{number // _KILLS_A_JOURNAL}.db"
        _kill_one(path, notes, number, drawn.randint(1, 12), drawn.uniform(0, 0.06))
        sick, torn, said[path] = _look(path)
        unwell += sick
        halves += torn
    print(json.dumps({"kills": kills, "unwell": unwell, "halves": halves, "said": dict(sum(said.values(), Counter()))}))


if __name__ == "__main__":
    main()
