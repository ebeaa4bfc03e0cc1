"""Writing the file of a pack: whole or not at all, and what killed writers left is cleared away."""

from __future__ import annotations

import glob
import json
import os
import re
import secrets
import sqlite3
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from pathlib import Path

from assistant.errors import PackError
from assistant.pack.blocks import encode_block, encode_blocks
from assistant.pack.format import APPLICATION_ID, FIGURES, FORMAT, SCHEMA, TABLES

__all__ = ["Entries", "write_pack_file"]

Entries = Iterable[tuple[str, bytes]]
_PART = re.compile(r"\.(?P<process>[0-9]{1,9})\.[0-9a-f]{16}\.part")


def write_pack_file(tables: Mapping[str, Entries], manifest: Mapping[str, str], path: Path) -> None:
    """Write manifest and entries: to a temporary file, synced, then renamed.

    Raises
    ------
    PackError
        If the file cannot be written; what stood there before is then still whole.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        _sweep(path)
        temporary = path.with_name(f"{path.name}.{os.getpid()}.{secrets.token_hex(8)}.part")
        try:
            with temporary.open("xb") as file:
                _fill(temporary, tables, manifest)
                os.fsync(file.fileno())
            temporary.replace(path)
        finally:
            temporary.unlink(missing_ok=True)
    except (OSError, ValueError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or error
        raise PackError(f"{path}:1: cannot be written: {reason}") from error


def _fill(path: Path, tables: Mapping[str, Entries], manifest: Mapping[str, str]) -> None:
    """Write the tables to an empty file, block by block; a writer that is killed has no journal to leave."""
    counts: dict[str, int] = {}
    with closing(sqlite3.connect(path)) as db:
        for pragma in ("journal_mode = OFF", "synchronous = OFF", f"application_id = {APPLICATION_ID}"):
            db.execute(f"PRAGMA {pragma}")
        db.execute(f"PRAGMA user_version = {FORMAT}")
        held = (*TABLES, FIGURES) if FIGURES in tables else TABLES
        for name in held:
            db.execute(SCHEMA[name])
        for name in held[1:]:
            blocks = enumerate(encode_blocks(name, tables.get(name, ())))
            counts[name] = db.executemany(f"INSERT INTO {name} VALUES (?, ?)", blocks).rowcount
        told = {**manifest, "blocks": json.dumps(counts)}
        block = encode_block("manifest", 0, {key: text.encode() for key, text in told.items()})
        db.execute("INSERT INTO manifest VALUES (0, ?)", (block,))
        db.commit()


def _sweep(path: Path) -> None:
    """Remove the temporary files that writers of this pack left who no longer live."""
    for left in path.parent.glob(f"{glob.escape(path.name)}.*.part"):
        named = _PART.fullmatch(left.name.removeprefix(path.name))
        if named and not _lives(int(named["process"])):
            with suppress(OSError):
                left.unlink()


def _lives(process: int) -> bool:
    """Tell whether a process of this number lives; one that cannot be asked is taken to."""
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return True
