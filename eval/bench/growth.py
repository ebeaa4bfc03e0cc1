"""How compiling, checking and watching grow with the number of notes, beside a process that reads and indexes them."""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import NamedTuple

from assistant.evaluation.texts import texts_of_folder
from eval.bench.figures import Figure
from eval.bench.full_text import INDEX_FOLDER
from eval.bench.ground import Ground
from eval.bench.measure import ASSISTANT, PYTHON, Cost, cost_of, in_turn
from eval.bench.slips import slips_of

__all__ = ["growth"]

OURS, PEER = "assistant", "bare process, SQLite FTS5, all files indexed"
_ONE_SAVE = str(Path(__file__).with_name("one_save.py"))
_MEGABYTE = 1024 * 1024
_MANY, _MOST_RUNS = 1000, 3
"""Folders of more notes than this are measured once, others so often at most."""
BASES = {
    "compile": "import assistant.compiling.compiler, assistant.notes.corpus",
    "check": "import assistant.checking.check, assistant.checking.book, scipy.sparse",
    "watch": "import assistant.desk.watching, scipy.sparse",
    PEER: "import sqlite3",
}
"""What a process of each kind imports before its work grows with anything."""


class _Run(NamedTuple):
    """What a process cost as a whole, and the seconds of its parts where it told them."""

    whole: Cost
    parts: Mapping[str, float] = {}


def growth(ground: Ground) -> Iterator[Figure]:
    """Yield cost by number of notes."""
    bases = {case: cost_of([PYTHON, "-c", code]) for case, code in BASES.items()}
    for size in ground.sizes.notes:
        print(f"  {size} notes", file=sys.stderr)
        notes = ground.notes(size)
        pack, index = ground.work / f"growth-{size}.pack", ground.work / f"growth-{size}.fts"
        home = ground.home("growth")
        calls: dict[str, Callable[[], _Run]] = {
            "compile": partial(
                _whole, [ASSISTANT, "--corpus", str(notes), *home, "corpus", "compile", "--pack", str(pack)], pack
            ),
            "check": partial(_whole, [ASSISTANT, *home, "corpus", "check", "--corpus", str(notes)]),
            "watch": partial(_save, notes, pack),
            PEER: partial(_whole, [PYTHON, "-c", INDEX_FOLDER, str(notes), str(index)], index),
        }
        found = in_turn(calls, min(ground.runs, _MOST_RUNS) if size <= _MANY else 1)
        theirs = found.pop(PEER)
        for case, runs in found.items():
            yield from _parts(case, runs, theirs, size, bases)
            for way, held in ((OURS, runs), (PEER, theirs)):
                peaks = tuple(run.whole.peak for run in held)
                yield Figure(
                    "growth", case, way, "peak MB", peaks, PEER, size, bases[PEER if way == PEER else case].peak
                )
        for way, file in ((OURS, pack), (PEER, index)):
            yield Figure("growth", "pack", way, "file MB", (file.stat().st_size / _MEGABYTE,), PEER, size)
        texts = texts_of_folder(notes) or []
        yield from slips_of(pack, (text for _, text in texts), ground.sizes.words, "made-up notes", size)


def _parts(
    case: str, runs: Sequence[_Run], theirs: Sequence[_Run], size: int, bases: Mapping[str, Cost]
) -> Iterator[Figure]:
    """Yield the seconds of a process, or those of each part that it told; the peer's beside them."""
    cases = {f"{case}, {part}": (tuple(run.parts[part] for run in runs), 0.0) for part in runs[0].parts}
    for name, (seconds, base) in (cases or {case: (tuple(run.whole.cpu for run in runs), bases[case].cpu)}).items():
        yield Figure("growth", name, OURS, "CPU s", seconds, PEER, size, base)
        yield Figure("growth", name, PEER, "CPU s", tuple(run.whole.cpu for run in theirs), PEER, size, bases[PEER].cpu)


def _whole(command: Sequence[str], anew: Path | None = None) -> _Run:
    """Run a command, which may leave with findings; the file ``anew`` is gone before."""
    if anew:
        anew.unlink(missing_ok=True)
    return _Run(cost_of(command, codes=(0, 1)))


def _save(notes: Path, pack: Path) -> _Run:
    """Save one note under a watch that begins from the pack which was compiled before."""
    with tempfile.TemporaryDirectory() as folder:
        told = Path(folder, "told.json")
        return _Run(
            cost_of([PYTHON, _ONE_SAVE, str(notes), str(pack)], stdout=told), json.loads(told.read_text("utf-8"))
        )
