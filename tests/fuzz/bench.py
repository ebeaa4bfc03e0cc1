"""What the targets stand on: notes, a pack and a journal to change, and what must hold of all that is shown."""

from __future__ import annotations

import shutil
import unicodedata
from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

from hypothesis import strategies as st

from assistant.compiling.compiler import compile_corpus
from assistant.errors import AssistantError
from assistant.journal.export import json_lines
from assistant.journal.store import Journal
from assistant.notes.corpus import read_corpus
from assistant.visiting.recorder import Recorder
from tests.making import TRADE, plain_settings, write_corpus
from tests.unit.visiting.conftest import Clock
from tests.unit.visiting.scene import five_stations

__all__ = ["MINI", "QUESTIONS", "Bench", "Target", "attempt", "harmless", "shown", "told"]

_UNSHOWN = frozenset({"Cc", "Cf", "Cs", "Co"})
MINI = Path(__file__).parents[1] / "data" / "mini"
QUESTIONS = (
    *("controller stick cap broken?", "smoke from the stick", "no power on the tv"),
    *("contorller stikc", "why", "1"),
)


class Target(NamedTuple):
    """What is drawn, as JSON-ready values, and what must hold of it."""

    name: str
    inputs: st.SearchStrategy[Any]
    check: Callable[[Bench, Any], object]


class Bench:
    """A folder with what the targets change: notes, a pack, a journal and its lines, each made when it is needed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._made: dict[str, Path] = {}

    def _once(self, name: str, make: Callable[[Path], object]) -> Path:
        if name not in self._made:
            path = self.folder / name
            make(path)
            self._made[name] = path
        return self._made[name]

    @property
    def pack(self) -> Path:
        return self._once("mini.pack", lambda path: compile_corpus(read_corpus(MINI), plain_settings(), path))

    @property
    def journal(self) -> Path:
        return self._once("whole.db", _filled_journal)

    @cached_property
    def lines(self) -> list[str]:
        with Journal(self.journal) as journal:
            return list(json_lines(journal))

    def fresh(self, name: str) -> Path:
        """Return the path of a file that is not there."""
        path = self.folder / name
        for left in (path, path.with_name(f"{name}-wal"), path.with_name(f"{name}-shm")):
            left.unlink(missing_ok=True)
        return path

    def corpus(self) -> Path:
        """Return a folder with two valid notes and all that can stand beside them."""
        root = self.folder / "notes"
        shutil.rmtree(root, ignore_errors=True)
        return write_corpus(root)


def _filled_journal(path: Path) -> None:
    clock = Clock()
    with Journal(path, clock=clock) as journal:
        recorder = Recorder(journal, TRADE, clock=clock)
        five_stations(recorder, clock, close=False)
        recorder.incident("spill", "cola")
        recorder.swap("A-3", "headset", taken_out="H-1", put_in="H-2")
        recorder.remark("taken back")
        recorder.undo()


def shown(text: str, *, lines: bool = True) -> None:
    """Check that a text has nothing that a terminal acts on, but for line ends where it may have several lines."""
    for line in text.split("\n") if lines else [text]:
        assert line.isprintable(), f"not printable: {line[:300]!a}"


def harmless(text: str) -> None:
    """Check that a text which is made printable before it is shown has no control and no format character already."""
    found = {character for character in text if unicodedata.category(character) in _UNSHOWN} - {"\n", "\t"}
    assert not found, f"holds {found!a}: {text[:300]!a}"


def told(error: AssistantError) -> None:
    """Check what a refusal says."""
    assert str(error).strip(), "refused without a word"
    harmless(str(error))


def attempt(act: Callable[[], object]) -> None:
    """Do something that may be refused."""
    try:
        act()
    except AssistantError as error:
        told(error)
