"""The entries of a pack, to look at and to change: sealed again, so that only what they say is wrong."""

from __future__ import annotations

import json
import sqlite3
from array import array
from collections.abc import Callable
from contextlib import closing
from functools import lru_cache
from pathlib import Path
from typing import Any

from assistant.pack.blocks import block_number, decode_block, encode_block
from assistant.pack.format import TABLES, pack_postings

Entries = dict[str, dict[str, bytes]]
Damage = Callable[[Path], object]


def entries_of(path: Path) -> Entries:
    """Return key and value by table."""
    with closing(sqlite3.connect(path)) as db:
        return _entries(db)


def _entries(db: sqlite3.Connection) -> Entries:
    return {
        table: {
            key: value
            for number, content in db.execute(f"SELECT number, content FROM {table}")
            for key, value in decode_block(table, number, content).items()
        }
        for table in TABLES
    }


@lru_cache(maxsize=2)
def _whole(raw: bytes) -> Entries:
    """Return the entries of a pack by what its file holds: many tests change copies of one."""
    with closing(sqlite3.connect(":memory:")) as db:
        db.deserialize(raw)
        return _entries(db)


def resealed(change: Callable[[Entries], object]) -> Damage:
    """Return what changes entries of a pack, and writes each block of them again with its seal."""

    def damage(path: Path) -> None:
        whole = _whole(path.read_bytes())
        entries = {table: dict(held) for table, held in whole.items()}
        change(entries)
        counts = {"manifest": 1, **json.loads(whole["manifest"]["blocks"])}
        with closing(sqlite3.connect(path)) as db:
            db.executescript("PRAGMA journal_mode = MEMORY; PRAGMA synchronous = OFF;")
            for table in TABLES:
                for number, block in _changed(whole[table], entries[table], counts[table]).items():
                    content = encode_block(table, number, block)
                    db.execute(f"UPDATE {table} SET content = ? WHERE number = ?", (content, number))
            db.commit()

    return damage


def _changed(before: dict[str, bytes], after: dict[str, bytes], count: int) -> dict[int, dict[str, bytes]]:
    """Return what stands in each block, of ``count`` in all, in which anything is other than before."""
    keys = {key for key, _ in before.items() ^ after.items()}
    blocks: dict[int, dict[str, bytes]] = {block_number(key, count): {} for key in keys}
    if blocks:
        for key, value in after.items():
            if (number := block_number(key, count)) in blocks:
                blocks[number][key] = value
    return blocks


def postings(*triples: tuple[int, int, int]) -> bytes:
    """Return the entry of a term with these (chunk, weight, field)."""
    chunks, weights, fields = zip(*triples, strict=True)
    return pack_postings("", array("I", chunks), array("H", weights), bytes(fields))[0][1]


def every(table: str, value: bytes | None) -> Damage:
    """Put ``value`` in place of all that a table holds, nothing where it is None."""
    return resealed(lambda entries: entries.update({table: dict.fromkeys(entries[table], value) if value else {}}))


def entry(table: str, key: str, value: bytes) -> Damage:
    """Put one entry into a table."""
    return resealed(lambda entries: entries[table].update({key: value}))


def manifest(key: str, value: str | None) -> Damage:
    """Put a text into the manifest, or take it out."""

    def change(entries: Entries) -> None:
        entries["manifest"].pop(key, None)
        if value is not None:
            entries["manifest"][key] = value.encode()

    return resealed(change)


def note_of(id: str, change: Callable[[dict[str, Any]], object]) -> Damage:
    """Change the JSON of one note."""

    def damage(entries: Entries) -> None:
        note = json.loads(entries["note"][id])
        change(note)
        entries["note"][id] = json.dumps(note).encode()

    return resealed(damage)


def run_sql(sql: str, *values: object) -> Damage:
    """Run one statement, which leaves the seals as they are."""

    def damage(path: Path) -> None:
        with closing(sqlite3.connect(path)) as db:
            db.execute(sql, values)
            db.commit()

    return damage


def script(*statements: str) -> Damage:
    """Run several statements."""

    def damage(path: Path) -> None:
        for statement in statements:
            run_sql(statement)(path)

    return damage
