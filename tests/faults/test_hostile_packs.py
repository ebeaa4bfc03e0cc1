"""Packs that somebody made by hand, field by field and table by table: refused in a line, or the very same answer.

With those of ``test_broken_packs.py`` they are more than the 153 with which a reader of this program once tried it.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from assistant.model import Note
from assistant.pack.format import SCHEMA, TABLES
from tests.cli.conftest import Run
from tests.faults.test_broken_packs import BROKEN, CAP, ENDLESS, HOSTILE, NOTE, refused_or_alike
from tests.packs import Damage, Entries, note_of, resealed, script

_HERE = "stands here"
WRONG = {
    "true": "true",
    "no number": "NaN",
    "endless": "1e999",
    "huge": "1" + "0" * 400,
    "deep": "[" * 100_000,
    "half an escape": '"\\ud800"',
}
"""JSON that no field is: each in the place of one."""
NOTE_FIELDS = [name for name in Note._fields if name not in ("draft", "examples", "phrases", "figures")]
"""Those that the record of every note has; of pictures see tests/unit/pack/test_figures.py."""
TRADE_FIELDS = ["stations", "areas", "actions", "tools", "parts", "contacts"]
BAR_FIELDS = ["bm25f_share", "bars", "refuse_below", "choose_within", "harm", "right", "covered", "turn"]
COMMANDS = (("show", NOTE), ("ask", "--no-record", CAP), ("visit", "bag", "4 pads"))


def field_of(table: str, key: str, field: str, text: str) -> Damage:
    """Put a text of JSON in place of a field of what the pack holds as JSON."""

    def change(entries: Entries) -> None:
        held: dict[str, Any] = json.loads(entries[table][key])
        assert field in held
        held[field] = _HERE
        entries[table][key] = json.dumps(held).replace(f'"{_HERE}"', text).encode()

    return resealed(change)


def without(table: str, key: str, field: str) -> Damage:
    def change(entries: Entries) -> None:
        held = json.loads(entries[table][key])
        del held[field]
        entries[table][key] = json.dumps(held).encode()

    return resealed(change)


def inside(part: str, **values: object) -> Callable[[dict[str, Any]], object]:
    """Put values into each of the objects of a note's list."""
    return lambda note: [each.update(values) for each in note[part]]


OF_FIELDS: dict[str, Damage] = {
    f"{key}: {field} {name}": field_of(table, key, field, text)
    for table, key, fields in (
        ("note", NOTE, NOTE_FIELDS),
        ("manifest", "trade", TRADE_FIELDS),
        ("manifest", "decision", BAR_FIELDS),
    )
    for field in fields
    for name, text in WRONG.items()
} | {
    f"{key}: no {field}": without(table, key, field)
    for table, key, fields in (
        ("note", NOTE, NOTE_FIELDS),
        ("manifest", "trade", TRADE_FIELDS),
        ("manifest", "decision", BAR_FIELDS),
    )
    for field in fields
}
_PARTS: tuple[tuple[str, list[dict[str, object]]], ...] = (
    ("steps", [{"n": 10**12}, {"n": None}, {"text": None}, {"line": -1}, {"branches": None}, {"branches": [7]}]),
    ("safety", [{"before_step": 10**12}, {"before_step": 1.5}, {"signal": None}, {"line": True}, {"more": 1}]),
)
OF_PARTS: dict[str, Damage] = {
    f"{part}: {values}": note_of(NOTE, inside(part, **values)) for part, every in _PARTS for values in every
}
OF_TABLES: dict[str, Damage] = {
    **{f"view for {table}": script(f"DROP TABLE {table}", f"CREATE VIEW {table} AS {ENDLESS}") for table in TABLES},
    **{
        f"trigger on {table}": script(f"CREATE TRIGGER t AFTER INSERT ON {table} BEGIN DELETE FROM {table}; END")
        for table in TABLES
    },
    **{f"no table {table}": script(f"DROP TABLE {table}") for table in TABLES},
    **{
        f"computed column in {table}": script(
            f"DROP TABLE {table}", f"{SCHEMA[table][:-1]}, more AS (zeroblob(99999999)))"
        )
        for table in TABLES
    },
    "one table more": script("CREATE TABLE more (number INTEGER PRIMARY KEY)"),
    "index": script("CREATE INDEX more ON note (content)"),
    "virtual table": script("CREATE VIRTUAL TABLE more USING fts5(content)"),
}
ALL = OF_FIELDS | OF_PARTS | OF_TABLES


def test_they_are_more_than_a_reader_tried() -> None:
    assert len(ALL) + len(HOSTILE) + len(BROKEN) > 153


@pytest.mark.parametrize("name", ALL)
def test_a_pack_made_by_hand(mini_pack_path: Path, tmp_path: Path, run: Run, name: str) -> None:
    path = tmp_path / "m.pack"
    shutil.copy(mini_pack_path, path)
    ALL[name](path)
    assert refused_or_alike(run, path, mini_pack_path, COMMANDS)
