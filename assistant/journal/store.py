"""A journal on disk: one SQLite file, opened, checked, written and read here alone.

Write-ahead logging with full sync: when `Journal.add` returns, the record is on the disk. Several processes may have
the same journal open; a writer waits for another. A file that is damaged, foreign or newer is refused before anything
is written to it.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, TypeVar, cast

from assistant.errors import JournalError
from assistant.journal.migrations import MIGRATIONS
from assistant.journal.records import KINDS, Entry, Record, Undo, Visit, kind_name

__all__ = ["APPLICATION_ID", "Journal", "now", "stamp"]

APPLICATION_ID = 0x53744A6E
_BUSY_SECONDS = 30.0
_FULL = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_SHMSIZE)
_OUTER = ("BEGIN IMMEDIATE", "COMMIT", ("ROLLBACK",))
_INNER = ("SAVEPOINT inner_writing", "RELEASE inner_writing", ("ROLLBACK TO inner_writing", "RELEASE inner_writing"))
"""How writing begins, is kept and is taken back."""
_NOT_BACK = "id NOT IN (SELECT entry FROM undo)"
_STANDS = "(entry IS NULL OR entry NOT IN (SELECT entry FROM undo))"
R = TypeVar("R", bound=Record)


def now() -> datetime:
    """Return the time, in UTC."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """Return a time as records hold it: UTC, to the millisecond.

    >>> stamp(datetime(2026, 11, 25, 16, 23, 37, 250_000, UTC))
    '2026-11-25T16:23:37.250Z'
    """
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Journal:
    """One open journal.

    Parameters
    ----------
    path
        The file; made, with its folder, where it is not there.
    clock
        Tells the time of a record.

    Raises
    ------
    JournalError
        If the file is damaged, of another kind, newer than this program, or cannot be made.
    """

    def __init__(self, path: Path, *, clock: Callable[[], datetime] = now) -> None:
        self.path = path
        self._clock = clock
        if path.exists() and path.stat().st_size:
            self._check()
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise JournalError(f"{path}:1: cannot be made: {error.strerror}") from error
        self._inside = False
        with self._told():
            self._db = sqlite3.connect(path, timeout=_BUSY_SECONDS, isolation_level=None)
        try:
            with self._told():
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
        with self._told():
            db = sqlite3.connect(uri, uri=True, timeout=_BUSY_SECONDS)
            try:
                db.execute("BEGIN")
                if db.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
                    if db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                        raise JournalError(f"{self.path}:1: not a journal of this program; it was left as it is")
                    return
                found = db.execute("PRAGMA quick_check(1)").fetchone()[0]
                if found != "ok":
                    raise self._damaged(found)
                self._pending(db)
            finally:
                db.close()

    def _set_up(self) -> None:
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute("PRAGMA foreign_keys = ON")
        self._db.execute("PRAGMA secure_delete = ON")
        if self._pragma("application_id") == APPLICATION_ID and not self._pending(self._db):
            return
        with self.writing():
            if self._pragma("application_id") != APPLICATION_ID:
                self._db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                self._db.execute("CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT")
                self._db.execute("INSERT INTO about VALUES ('uid', ?)", (os.urandom(8).hex(),))
                self._db.execute(
                    "CREATE TABLE migration (id INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL) STRICT"
                )
        for name, statements in MIGRATIONS:
            with self.writing():
                if name in self._pending(self._db):
                    for statement in statements.split(";\n"):
                        self._db.execute(statement)
                    self._db.execute("INSERT INTO migration (name, at) VALUES (?, ?)", (name, stamp(self._clock())))

    def _pending(self, db: sqlite3.Connection) -> list[str]:
        """Return the names of the migrations that are still to be made."""
        made = [row[0] for row in db.execute("SELECT name FROM migration ORDER BY id")]
        known = [name for name, _ in MIGRATIONS]
        if made != known[: len(made)]:
            raise JournalError(
                f"{self.path}:1: written by a newer version of this program; it was left as it is: update the program"
            )
        return known[len(made) :]

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
            for record in records:
                dated = record._replace(at=record.at or stamp(self._clock()))
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
        return self._found(kind, where, [_STANDS] if "entry" in kind._fields and kind is not Undo else [])

    def every(self, kind: type[R]) -> list[R]:
        """Return all records of a kind, oldest first, also those that were taken back."""
        return self._found(kind, {}, [])

    def _found(self, kind: type[R], where: Mapping[str, object], conditions: list[str]) -> list[R]:
        conditions = [*(f"{field} IS ?" for field in where), *conditions] or ["1"]
        sql = f"SELECT {', '.join(kind._fields)} FROM {kind_name(kind)} WHERE {' AND '.join(conditions)} ORDER BY id"
        return [kind(*row) for row in self._rows(sql, tuple(where.values()))]

    def get(self, kind: type[R], id: int) -> R | None:
        """Return one record by its number."""
        return next(iter(self.all(kind, id=id)), None)

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
        with self._told():
            with self.writing():
                gone = self._erase(before, keep)
            self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            self._db.execute("VACUUM")
            busy = self._db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise JournalError(
                f"{self.path}:1: erased, but another program reads this journal, so that what was erased still lies in "
                "its file: close that program and run this again"
            )
        return gone

    def count_before(self, before: str, keep: Collection[int] = ()) -> dict[str, int]:
        """Return how many records of each kind `purge` would erase; nothing is erased."""
        with self._told():
            self._db.execute("BEGIN IMMEDIATE")
            try:
                return self._erase(before, keep)
            finally:
                self._db.execute("ROLLBACK")

    def _erase(self, before: str, keep: Collection[int]) -> dict[str, int]:
        gone = {}
        self._db.execute("CREATE TEMP TABLE kept_visit (id INTEGER PRIMARY KEY)")
        self._db.executemany("INSERT INTO kept_visit VALUES (?)", [(visit,) for visit in set(keep)])
        for name, rows in _OLD:
            self._db.execute(f"CREATE TEMP TABLE {name} AS {rows}", {"before": before})
        for table, condition in _PURGED:
            gone[table] = self._db.execute(f"DELETE FROM {table} WHERE {condition}", {"before": before}).rowcount
        for name in ("kept_visit", *(name for name, _ in _OLD)):
            self._db.execute(f"DROP TABLE temp.{name}")
        return gone

    def _rows(self, sql: str, values: Sequence[object] = ()) -> list[tuple[Any, ...]]:
        with self._told():
            return self._db.execute(sql, tuple(values)).fetchall()

    def _pragma(self, name: str) -> object:
        return self._db.execute(f"PRAGMA {name}").fetchone()[0]

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Read everything inside as of one moment, whatever others write meanwhile."""
        with self._told():
            self._db.execute("BEGIN")
        try:
            yield
        finally:
            with self._told():
                self._db.execute("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[None]:
        """Write all that is added inside, or none of it, whatever others write meanwhile; may stand in itself.

        What is read inside stays true until all is written. When the outermost one is left, all is on the disk; an
        inner one that fails takes back its own part, and the outer one too unless the error is caught between them.
        """
        outermost = not self._inside
        begin, keep, drop = _OUTER if outermost else _INNER
        with self._told():
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

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn an error of SQLite into one with the file's name and what to do."""
        try:
            yield
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode in _FULL:
                raise JournalError(f"{self.path}:1: the disk is full: this was not recorded; make room") from error
            raise JournalError(f"{self.path}:1: cannot be read or written: {error}") from error
        except sqlite3.IntegrityError as error:
            raise JournalError(f"{self.path}:1: not recorded: {error}") from error
        except sqlite3.DatabaseError as error:
            raise self._damaged(error) from error

    def _damaged(self, found: object) -> JournalError:
        return JournalError(
            f"{self.path}:1: damaged journal: {found}; it was left as it is: move it away and keep it for the desk"
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._db.close()


_OF_VISIT = "visit IN old_visit OR (visit IS NULL AND at < :before)"
_ENDED = f"SELECT work FROM outcome WHERE {_STANDS}"
_CLOSED = f"SELECT visit FROM closing WHERE {_STANDS}"
_OLD_VISIT = (
    f"SELECT id FROM visit WHERE at < :before AND (id IN ({_CLOSED}) OR NOT {_STANDS}) "
    "AND id NOT IN (SELECT id FROM kept_visit)"
)
_OLD_WORK = (
    "SELECT id FROM work WHERE visit IN old_visit "
    f"OR (visit IS NULL AND at < :before AND (id IN ({_ENDED}) OR NOT {_STANDS}))"
)
_OLD = (
    ("old_visit", _OLD_VISIT),
    ("old_work", _OLD_WORK),
    ("old_question", f"SELECT id FROM question WHERE {_OF_VISIT}"),
)
_LOOSE = "work IN old_work OR visit IN old_visit OR (work IS NULL AND visit IS NULL AND at < :before)"
_STILL_HELD = " UNION ALL ".join(
    f"SELECT entry FROM {kind_name(kind)} WHERE entry IS NOT NULL"
    + (" AND id NOT IN (SELECT id FROM old_visit)" if kind is Visit else "")
    for kind in KINDS
    if "entry" in kind._fields and kind is not Undo
)
_OLD_ENTRY = f"({_OF_VISIT}) AND id NOT IN ({_STILL_HELD})"
_PURGED = (
    ("remark", _LOOSE),
    ("photo", _LOOSE),
    ("count", _OF_VISIT),
    ("incident", _OF_VISIT),
    ("swap", _LOOSE),
    ("arrangement", _OF_VISIT),
    ("release", _LOOSE),
    ("escalation", _LOOSE),
    ("part", _LOOSE),
    ("outcome", "work IN old_work OR entry IN (SELECT id FROM entry WHERE visit IN old_visit)"),
    ("act", "work IN old_work"),
    ("work", "id IN old_work"),
    ("feedback", "question IN old_question"),
    ("question", "id IN old_question"),
    ("sighting", "visit IN old_visit"),
    ("switchedoff", "visit IN old_visit"),
    ("arrival", "visit IN old_visit"),
    ("closing", "visit IN old_visit"),
    ("undo", f"entry IN (SELECT id FROM entry WHERE {_OLD_ENTRY})"),
    ("entry", _OLD_ENTRY),
    ("visit", "id IN old_visit"),
)
