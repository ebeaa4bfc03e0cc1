"""A journal on disk: one SQLite file, opened, checked, written and read here alone.

Write-ahead logging with full sync: when `Journal.add` returns, the record is on the disk. Several processes may have
the same journal open; a writer waits for another. A file that is damaged, foreign or newer is refused before anything
is written to it.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar, cast

from assistant.errors import JournalError
from assistant.journal.checked import fault_of, stamp
from assistant.journal.faults import damaged, told
from assistant.journal.masking import masked_all, masking
from assistant.journal.migrations import MIGRATIONS
from assistant.journal.opening import (
    APPLICATION_ID,
    BUSY_SECONDS,
    check,
    first_tables,
    guard,
    make_private,
    migrate,
    open_to_read,
    pending,
)
from assistant.journal.purging import STANDS, erase_rows
from assistant.journal.records import Entry, Record, Undo, kind_name

__all__ = ["APPLICATION_ID", "Journal", "now", "stamp"]

_OUTER = ("BEGIN IMMEDIATE", "COMMIT", ("ROLLBACK",))
_INNER = ("SAVEPOINT inner_writing", "RELEASE inner_writing", ("ROLLBACK TO inner_writing", "RELEASE inner_writing"))
"""How writing begins, is kept and is taken back."""
_NOT_BACK = "id NOT IN (SELECT entry FROM undo)"
_MOST_ID = 2**63 - 1
"""The greatest number that SQLite gives."""
_WIPE_SECONDS = 2
"""How long erasing waits for another program that reads."""
R = TypeVar("R", bound=Record)


def now() -> datetime:
    """Return the time, in UTC."""
    return datetime.now(UTC)


class Journal:
    """One open journal.

    Parameters
    ----------
    path
        The file; made, with its folder, where it is not there.
    clock
        Tells the time of a record.
    readonly
        For looking alone: no byte of the file changes, none is made where there is none, and nothing can be added.

    Raises
    ------
    JournalError
        If the file is damaged, of another kind, newer than this program, or cannot be made.
    """

    def __init__(self, path: Path, *, clock: Callable[[], datetime] = now, readonly: bool = False) -> None:
        self.path = path
        self._clock = clock
        self._inside = False
        self._mask = not readonly and masking(path.parent)
        if readonly:
            self._db = open_to_read(path)
            return
        with told(path):
            if path.exists() and path.stat().st_size:
                self._check()
            make_private(path)
            self._db = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
            try:
                self._set_up()
            except BaseException:
                self._db.close()
                raise

    @property
    def uid(self) -> str:
        """What tells this journal from all others."""
        return str(self._rows("SELECT value FROM about WHERE key = 'uid'")[0][0])

    def _check(self) -> None:
        """Refuse a file that is not a whole journal of this program, without writing to it."""
        uri = self.path.absolute().as_uri() + "?mode=ro"
        with closing(sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, isolation_level=None)) as db:
            check(db, self.path)

    def _set_up(self) -> None:
        guard(self._db)
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute("PRAGMA foreign_keys = ON")
        self._db.execute("PRAGMA secure_delete = ON")
        if self._pragma("application_id") == APPLICATION_ID and not pending(self._db, self.path):
            return
        with self.writing():
            if self._pragma("application_id") != APPLICATION_ID:
                first_tables(self._db)
        for name, _ in MIGRATIONS:
            with self.writing():
                if name in pending(self._db, self.path):
                    migrate(self._db, name, stamp(self._clock()))

    def add(self, record: R) -> R:
        """Add one record and return it with its number and time; it is on the disk then.

        Raises
        ------
        JournalError
            If it could not be written; nothing of it is recorded then.
        """
        return self.add_all([record])[0]

    def add_all(self, records: Sequence[R]) -> list[R]:
        """Add several records, all or none."""
        added: list[R] = []
        with self.writing():
            for record in masked_all(records) if self._mask else records:
                dated = record._replace(at=record.at or stamp(self._clock()))
                wrong = fault_of(type(record), dated._replace(id=1))
                if wrong:
                    raise JournalError(f"{self.path}:1: not recorded: {kind_name(type(record))}: {wrong}")
                values: dict[str, Any] = dated._asdict()
                del values["id"]
                names = ", ".join(values)
                marks = ", ".join("?" * len(values))
                sql = f"INSERT INTO {kind_name(type(record))} ({names}) VALUES ({marks})"
                number = self._db.execute(sql, tuple(values.values())).lastrowid
                added.append(cast("R", dated._replace(id=number or 0)))
        return added

    def all(self, kind: type[R], **where: object) -> list[R]:
        """Return the records of a kind, oldest first, whose fields have the given values.

        An entry that was taken back is left out, with all that was written with it.
        """
        if kind is Entry:
            return self._found(kind, where, [_NOT_BACK])
        return self._found(kind, where, [STANDS] if "entry" in kind._fields and kind is not Undo else [])

    def every(self, kind: type[R]) -> list[R]:
        """Return all records of a kind, oldest first, also those that were taken back."""
        return self._found(kind, {}, [])

    def _found(self, kind: type[R], where: Mapping[str, object], conditions: list[str]) -> list[R]:
        conditions = [*(f"{field} IS ?" for field in where), *conditions] or ["1"]
        sql = f"SELECT {', '.join(kind._fields)} FROM {kind_name(kind)} WHERE {' AND '.join(conditions)} ORDER BY id"
        rows = self._rows(sql, tuple(where.values()))
        for row in rows:
            wrong = fault_of(kind, row)
            if wrong:
                raise damaged(self.path, f"{kind_name(kind)} {row[kind._fields.index('id')]}: {wrong}")
        return [kind(*row) for row in rows]

    def get(self, kind: type[R], id: int) -> R | None:
        """Return one record by its number; None where there is none."""
        return next(iter(self.all(kind, id=id)), None) if 0 < id <= _MOST_ID else None

    def purge(self, before: str, keep: Collection[int] = ()) -> dict[str, int]:
        """Erase what was recorded before a time, and return how many records of each kind went.

        A visit goes with all that belongs to it, once it is closed; a question or a work outside of a visit goes by
        its own time, a work only when it has ended.

        Parameters
        ----------
        before
            A date or a time as records hold it.
        keep
            Numbers of visits that stay, however old.

        Raises
        ------
        JournalError
            If another program reads the journal, so that the words still lie in its file.
        """
        with told(self.path):
            with self.writing():
                gone = erase_rows(self._db, before, keep)
            whole = self._wipe()
        if not whole:
            raise JournalError(
                f"{self.path}:1: erased, but another program reads this journal, so that what was erased still lies in "
                "its file: close that program and run this again"
            )
        return gone

    def _wipe(self) -> bool:
        """Write the file anew without what was erased, and tell whether no other program kept that from being done."""
        self._db.execute(f"PRAGMA busy_timeout = {_WIPE_SECONDS * 1000}")
        try:
            self._db.execute("VACUUM")
            return not self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorcode", None) != sqlite3.SQLITE_BUSY:
                raise
            return False
        finally:
            self._db.execute(f"PRAGMA busy_timeout = {int(BUSY_SECONDS * 1000)}")

    def count_before(self, before: str, keep: Collection[int] = ()) -> dict[str, int]:
        """Return how many records of each kind `purge` would erase; nothing is erased."""
        with told(self.path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                return erase_rows(self._db, before, keep)
            finally:
                self._db.execute("ROLLBACK")

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        with told(self.path):
            return self._db.execute(sql, tuple(values)).fetchall()

    def _pragma(self, name: str) -> object:
        return self._db.execute(f"PRAGMA {name}").fetchone()[0]

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Read everything inside as of one moment, whatever others write meanwhile."""
        with told(self.path):
            self._db.execute("BEGIN")
        try:
            yield
        finally:
            with told(self.path):
                self._db.execute("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Write all that is added inside, or none of it, whatever others write meanwhile; may stand in itself.

        What is read inside stays true until all is written. When the outermost one is left, all is on the disk; an
        inner one that fails takes back its own part, and the outer one too unless the error is caught between them.
        """
        outermost = not self._inside
        begin, keep, drop = _OUTER if outermost else _INNER
        with told(self.path):
            self._db.execute(begin)
            self._inside = True
            try:
                yield
                self._db.execute(keep)
            except BaseException:
                with suppress(sqlite3.Error):
                    for statement in drop:
                        self._db.execute(statement)
                raise
            finally:
                self._inside = not outermost

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._db.close()
