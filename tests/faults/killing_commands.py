"""Lets commands be killed at random points, and says what became of what they were writing.

Run as ``python -m tests.faults.killing_commands FOLDER KILLS compile|take|erase``; prints JSON. Every other kill is
aimed: the command dies at the very moment at which it is about to write, rename or remove a file of the folder. The
others come after a random time, at most as long as the command took when it was let alone. It forks, so it is no test
itself.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sqlite3
import sys
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from assistant.cli.main import main as run_command
from assistant.compiling.fresh import fresh_pack
from assistant.desk.missed import missed_questions
from assistant.desk.sources import read_sources
from assistant.desk.taking import add_questions
from assistant.desk.unanswered import group_missed
from assistant.journal.records import Photo, Question, Visit
from assistant.journal.store import Journal
from assistant.notes.corpus import read_corpus
from assistant.pack.places import Places
from assistant.visiting.erasing import erase
from assistant.visiting.recorder import Recorder
from tests.making import write_corpus

_EVENTS = frozenset({"open", "os.rename", "os.remove", "sqlite3.connect"})
_TO_WRITE = os.O_WRONLY | os.O_RDWR | os.O_CREAT
_LONG_AGO = 3600
_ERASED = "zorgleblorp"
"""What is erased: must be nowhere in the folder afterwards."""
_PICTURE = b"\xff\xd8\xff"
_NEXT_RUN_EVERY = 10
_TAKEN = ("lamp gone dark", "pad is a brick", "the lamp of the pad went dark after lunch today")
State = dict[str, bytes]


class Case(NamedTuple):
    """A command, and what must hold after it was killed.

    ``whole`` tells whether what lies in the folder is as before or as after; ``next_run`` does the work again, not
    killed, and tells whether all is as after it and nothing more lies there.
    """

    arguments: list[str]
    whole: Callable[[], bool]
    next_run: Callable[[], bool]


def _state(folder: Path) -> State:
    return {str(path.relative_to(folder)): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()}


def _put(folder: Path, state: State) -> None:
    """Make a folder as it was, but for what killed commands have left in it."""
    for name, content in state.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(content)


def _compile(root: Path, folder: Path) -> Case:
    notes, pack = root / "notes", folder / "m.pack"
    write_corpus(notes)
    arguments = ["corpus", "compile", "--corpus", str(notes), "--pack", str(pack)]
    _run(arguments)
    before = pack.read_bytes()
    uncovered = notes / "uncovered.txt"
    uncovered.write_text(uncovered.read_text("utf-8") + "where do i park\n", "utf-8")
    other = root / "other" / "m.pack"
    _run([*arguments[:-1], str(other)])
    after = other.read_bytes()
    digest = read_corpus(notes).digest

    def next_run() -> bool:
        with fresh_pack(Places(root, notes, pack)) as opened:
            fresh = opened.manifest["corpus"] == digest
        _run(arguments)
        return fresh and pack.read_bytes() == after and set(_state(folder)) == {"m.pack", "m.pack.seen"}

    return Case(arguments, lambda: pack.read_bytes() in (before, after), next_run)


def _take(root: Path, folder: Path) -> Case:
    write_corpus(folder)
    journal, pack = root / "one.db", root / "m.pack"
    with Journal(journal) as opened:
        for text in _TAKEN:
            opened.add(Question(text, "none", "procedure", ""))
    with fresh_pack(Places(root, folder, pack)) as read:
        groups = group_missed(missed_questions(read_sources([journal])), read)
    key, questions = groups[0].key, [text for text, _ in groups[0].wordings]
    arguments = ["desk", "take", key, "--example-of", "pad-demo", "--journal", str(journal)]
    arguments += ["--corpus", str(folder), "--pack", str(pack)]
    before, note = _state(folder), folder / "pad/pad-demo.md"
    add_questions(folder, note, questions)
    after = _state(folder)
    assert after != before
    for name in after.keys() - before.keys():
        (folder / name).unlink()
    _put(folder, before)

    def whole() -> bool:
        read_corpus(folder)
        held = _state(folder)
        return all(held.get(name) in (before.get(name), after[name]) for name in after)

    def next_run() -> bool:
        add_questions(folder, note, questions)
        completed = {name: held for name, held in _state(folder).items() if not name.endswith(".part")} == after
        for name in after.keys() - before.keys():
            (folder / name).unlink()
        _put(folder, before)
        for path in folder.rglob(".*"):
            os.utime(path, (time.time() - _LONG_AGO,) * 2)
        add_questions(folder, note, questions)
        return completed and _state(folder) == after

    return Case(arguments, whole, next_run)


def _erase(root: Path, folder: Path) -> Case:
    path, picture = folder / "journal.db", root / "p.jpg"
    for days in (40, 39, 0):
        with Journal(path) as journal:
            recorder = Recorder(journal, clock=_days_ago(days))
            recorder.open_visit("S-1", _ERASED if days else "Ina")
            for number in range(60):
                recorder.remark(f"{_ERASED if days else 'kept'} {number} " + "x" * 200)
            picture.write_bytes(_PICTURE + b"%d" % days)
            recorder.photo(picture)
            recorder.close_visit()
    day = datetime.now(UTC).date() - timedelta(days=2)
    arguments = ["journal", "erase", "--before", day.isoformat(), "--yes", "--home", str(folder)]

    def visits() -> int:
        with closing(sqlite3.connect(path)) as db:
            assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        with Journal(path) as journal:
            held = len(journal.every(Visit))
            copies = [photo.copy for photo in journal.every(Photo)]
            records = sum(len(journal.every(kind)) for kind in (Visit, Photo, Question))
        there = all((folder / "photos" / copy).is_file() for copy in copies)
        return held if there and records == 2 * held else -1

    def next_run() -> bool:
        with Journal(path) as journal:
            erase(journal, day.isoformat())
        left = _state(folder)
        clean = not any(_ERASED.encode() in content for content in left.values())
        return visits() == 1 and clean and len(left) == 2

    return Case(arguments, lambda: visits() in (1, 3), next_run)


def _days_ago(days: int) -> Callable[[], datetime]:
    moment = datetime.now(UTC) - timedelta(days=days)
    return lambda: moment


def _run(arguments: list[str]) -> None:
    """Run a command in this process, its words to nowhere."""
    kept = sys.stdout, sys.stderr
    with open(os.devnull, "w", encoding="utf-8") as nowhere:  # noqa: PTH123
        sys.stdout = sys.stderr = nowhere
        try:
            run_command(arguments)
        except SystemExit as left:
            assert left.code == 0, arguments
        finally:
            sys.stdout, sys.stderr = kept


def _child(case: Case, folder: Path, at_event: int) -> tuple[int, int]:
    """Fork a child that runs the command and dies at its event of a number, 0 for never; return it and a pipe.

    What comes out of the pipe, once the child has ended, is a byte for each event.
    """
    reading, writing = os.pipe()
    child = os.fork()
    if child:
        os.close(writing)
        return child, reading
    met = 0

    def count(event: str, values: tuple[Any, ...]) -> None:
        nonlocal met
        reads = event == "open" and not values[2] & _TO_WRITE
        if event in _EVENTS and not reads and str(values[0]).startswith(str(folder)):
            met += 1
            os.write(writing, b".")
            if met == at_event:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(count)
    try:
        _run(case.arguments)
    finally:
        os._exit(0)


def _ended(child: int, reading: int) -> tuple[bool, int]:
    """Return whether a child was killed, and how many events it met."""
    with os.fdopen(reading, "rb") as stream:
        events = len(stream.read())
    return os.WIFSIGNALED(os.waitpid(child, 0)[1]), events


_CASES: dict[str, Callable[[Path, Path], Case]] = {"compile": _compile, "take": _take, "erase": _erase}


def main() -> None:
    """Kill a command so often, and look at the folder after each."""
    root, kills, case_of = Path(sys.argv[1]), int(sys.argv[2]), _CASES[sys.argv[3]]
    folder = root / "folder"
    folder.mkdir()
    case = case_of(root, folder)
    start = _state(folder)
    begun = time.monotonic()
    _, events = _ended(*_child(case, folder, 0))
    took = time.monotonic() - begun
    drawn = random.Random(7)
    found = {"kills": kills, "events": events, "aimed": 0, "aimed_killed": 0, "killed": 0, "halves": 0, "left": 0}
    for number in range(kills):
        shutil.rmtree(folder / "photos", ignore_errors=True)
        for name in set(_state(folder)) - set(start):
            if not name.endswith(".part"):
                (folder / name).unlink()
        _put(folder, start)
        aimed = number % 2 == 0
        child, reading = _child(case, folder, drawn.randint(1, events) if aimed else 0)
        if not aimed:
            time.sleep(drawn.uniform(0, took))
            os.kill(child, signal.SIGKILL)
        killed, _ = _ended(child, reading)
        found["aimed"] += aimed
        found["aimed_killed"] += aimed and killed
        found["killed"] += killed
        found["halves"] += not case.whole()
        if number % _NEXT_RUN_EVERY == 0 or number == kills - 1:
            found["left"] += not case.next_run()
    print(json.dumps(found))


if __name__ == "__main__":
    main()
