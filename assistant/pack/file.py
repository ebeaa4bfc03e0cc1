"""The file of a pack: opened read-only, held to the known tables, and read in blocks that are checked one by one."""

from __future__ import annotations

import os

from assistant.analysis.tokens import printable
from assistant.errors import PackError
from assistant.pack.blocks import block_number, decode_block
from assistant.pack.checked import json_of, object_of, whole_of
from assistant.pack.format import APPLICATION_ID, FIGURES, FORMAT, SCHEMA, TABLES
from assistant.pack.sqlite import sqlite3

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Collection
    from types import TracebackType
    from typing import Any

__all__ = ["PackFile", "Reading", "in_uri"]

_REMEDY = "compile it again with 'assistant corpus compile'"
_LONGEST = 16 * 2**20
"""Bytes of a block that are read."""
_SMALL = 4 * 2**20
"""Bytes of a table that is kept in memory as a whole."""
_NEVER = 10**15
_MOST_TOLD = 200
"""Characters of a reason, which may quote the file."""
_STEPS_AT_A_TIME = 10_000
_MOST_TIMES = 1000
"""Ten million steps of SQLite's machine are a second or less; the longest question takes some hundred thousand."""


class Reading:
    """Turns an error with a value inside of it into the one that says of what value of which file it tells.

    By hand, as `contextlib` takes longer to load than many values to read.
    """

    def __init__(self, file: PackFile, what: str) -> None:
        self._file = file
        self._what = what

    def __enter__(self) -> None:
        pass

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, ValueError):
            raise self._file.damaged(ValueError(f"{self._what}: {error}")) from error


class _Steps:
    """Ends a statement after so many steps; counted and not timed, so that it ends alike on every machine."""

    def __init__(self) -> None:
        self.left = _MOST_TIMES

    def __call__(self) -> bool:
        self.left -= 1
        return self.left < 0


class PackFile:
    """One open file of checked blocks.

    Parameters
    ----------
    path
        The file.

    Attributes
    ----------
    manifest
        What the pack says of itself.

    Raises
    ------
    PackError
        If the file is missing, damaged, of another kind or of another format.
    """

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self.path = path
        self._steps = _Steps()
        self._counts = {"manifest": 1}
        self._read: dict[str, int] = {}
        self._whole: dict[str, dict[str, bytes]] = {}
        if not os.path.isfile(path):
            raise PackError(f"{path}:1: no pack here; compile one with 'assistant corpus compile'")
        try:
            self._db = sqlite3.connect(f"file:{in_uri(os.path.join(os.getcwd(), path))}?mode=ro&immutable=1", uri=True)
        except sqlite3.Error as error:
            raise self.damaged(error) from error
        try:
            self._check()
            self.manifest = self._read_manifest()
        except BaseException:
            self._db.close()
            raise

    def _check(self) -> None:
        """Refuse a file of another program or format, and one whose tables are not the known ones."""
        self._db.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST)
        self._db.set_progress_handler(self._steps, _STEPS_AT_A_TIME)
        self._rows("PRAGMA trusted_schema = OFF")
        self._rows("PRAGMA cell_size_check = ON")
        if self._rows("PRAGMA application_id") != [(APPLICATION_ID,)]:
            raise PackError(f"{self.path}:1: not a pack of this program")
        ((found,),) = self._rows("PRAGMA user_version")
        if found != FORMAT:
            named = f"pack format {found}" if found else "a pack format before 5"
            raise PackError(f"{self.path}:1: {named} is not the format {FORMAT} that this version reads; {_REMEDY}")
        made = self._rows(f"SELECT type, name, sql FROM sqlite_master ORDER BY rowid LIMIT {len(SCHEMA) + 1}")
        known = [("table", name, sql) for name, sql in SCHEMA.items()]
        if made not in (known, known[: len(TABLES)]):
            raise self.damaged(ValueError("its tables are not those of a pack"))
        self._tables = [name for _, name, _ in made]

    def _read_manifest(self) -> dict[str, str]:
        blocks = self._blocks("manifest", {0})
        try:
            manifest = {key: value.decode() for key, value in blocks.items()}
            counts = object_of(json_of(manifest.get("blocks", "{}")), self._tables[1:])
            self._counts |= {name: whole_of(counts[name], 1) for name in self._tables[1:]}
        except ValueError as error:
            raise self.damaged(ValueError(f"'blocks' of the manifest {error}")) from error
        return manifest

    def figure(self, digest: str) -> bytes | None:
        """Return a picture by the digest of its file, None where the pack has none of that digest.

        Raises
        ------
        PackError
            As `entries`.
        """
        return self.entries(FIGURES, (digest,)).get(digest) if FIGURES in self._tables else None

    def entries(self, table: str, keys: Collection[str]) -> dict[str, bytes]:
        """Return what the table holds under ``keys``, of those that it holds.

        Raises
        ------
        PackError
            If a block in which one of them lies, or would, is not what was written.
        """
        if not keys:
            return {}
        held = self._whole.get(table)
        if held is None:
            count = self._counts[table]
            numbers = {block_number(key, count) for key in keys}
            held = self._blocks(table, numbers)
            self._read[table] = self._read.get(table, 0) + len(numbers)
            if self._read[table] > count:
                self._read_whole(table)
        return {key: held[key] for key in keys if key in held}

    def _read_whole(self, table: str) -> None:
        """Keep a small table from now on, once as many of its blocks were read as it has: that costs no more again."""
        self._read[table] = -_NEVER
        try:
            ((size,),) = self._rows(f"SELECT sum(length(content)) FROM {table}")
            if size <= _SMALL:
                self._whole[table] = self._blocks(table, range(self._counts[table]))
        except PackError:  # what is damaged is told once it is asked for
            return

    def _blocks(self, table: str, numbers: Collection[int]) -> dict[str, bytes]:
        whole = isinstance(numbers, range)
        asked = (min(numbers), max(numbers)) if whole else tuple(numbers)
        asked += asked[-1:] * ((1 << (len(asked) - 1).bit_length()) - len(asked))  # few statements are made ready
        where = "BETWEEN ? AND ?" if whole else f"IN ({','.join('?' * len(asked))})"
        rows = self._rows(f"SELECT number, content FROM {table} WHERE number {where}", asked)
        if len(rows) != len(numbers):
            raise self.damaged(ValueError(f"a block of '{table}' is missing"))
        held: dict[str, bytes] = {}
        try:
            for number, content in rows:
                held.update(decode_block(table, number, content))
        except ValueError as error:
            raise self.damaged(error) from error
        return held

    def _rows(self, sql: str, parameters: tuple[int, ...] = ()) -> list[tuple[Any, ...]]:
        self._steps.left = _MOST_TIMES
        try:
            return self._db.execute(sql, parameters).fetchall()
        except (sqlite3.Error, ValueError, OverflowError, MemoryError) as error:
            endless = ValueError("looking something up takes too many steps")
            raise self.damaged(endless if self._steps.left < 0 else error) from error

    def damaged(self, error: Exception) -> PackError:
        """Return the error that tells of damage in one line, with its remedy."""
        told = printable(str(error))
        return PackError(f"{self.path}:1: damaged pack: {told[:_MOST_TOLD]}; {_REMEDY}")

    def close(self) -> None:
        """Close the file."""
        self._db.close()


def in_uri(path: str) -> str:
    """Escape what has a meaning in a URI; urllib would take longer to load than a question to answer."""
    return path.replace("%", "%25").replace("?", "%3f").replace("#", "%23")
