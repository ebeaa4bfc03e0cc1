"""A journal on disk: one SQLite file, opened, checked, written and read here alone.

Write-ahead logging with full sync: when `Journal.add` returns, the record is on the disk. Several processes may have
the same journal open; a writer waits for another. A file that is damaged, foreign or newer is refused before anything
is written to it.
"""

from __future__ import annotations

import os

from assistant.errors import JournalError
from assistant.journal.checked import fault_of, now, stamp
from assistant.journal.faults import told
from assistant.journal.first import kind_name
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
from assistant.journal.reads import Reads
from assistant.journal.unclean import ended_unclean
from assistant.pack.file import in_uri
from assistant.pack.sqlite import sqlite3
from assistant.values import cast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence
    from contextlib import AbstractContextManager
    from datetime import datetime
    from types import TracebackType
    from typing import Any, Self, TypeVar

    from assistant.journal.records import Record

    R = TypeVar("R", bound=Record)

__all__ = ["APPLICATION_ID", "Journal", "now", "stamp"]

_OUTER = ("BEGIN IMMEDIATE", "COMMIT", ("ROLLBACK",))
_INNER = ("SAVEPOINT inner_writing", "RELEASE inner_writing", ("ROLLBACK TO inner_writing", "RELEASE inner_writing"))
"""How writing begins, is kept and is taken back."""
_WIPE_SECONDS = 2
"""How long erasing waits for another program that reads."""


class Journal(Reads):
    """One open journal.

    Parameters
    ----------
    path
        The file; made, with its folder, where it is not there.
    clock
        Tells the time of a record.
    readonly
        For looking alone: no byte of the file changes, none is made where there is none, and nothing can be added.
    whole
        Look the whole file over first, which takes the longer the more is kept. Without it that is done only where a
        program that had it open ended without closing it.

    Raises
    ------
    JournalError
        If the file is damaged, of another kind, newer than this program, or cannot be made.
    """

    def __init__(
        self,
        path: str | os.PathLike[str],
        *,
        clock: Callable[[], datetime] = now,
        readonly: bool = False,
        whole: bool = False,
    ) -> None:
        self._name = os.fspath(path)
        self._clock = clock
        self._inside = False
        self._mask = not readonly and masking(os.path.dirname(self._name))
        if readonly:
            self._db = open_to_read(self.path, whole=whole)
            return
        with told(self._name):
            if os.path.exists(self._name) and os.path.getsize(self._name):
                self._check(whole=whole)
            make_private(self._name)
            self._db = sqlite3.connect(self._name, timeout=BUSY_SECONDS, isolation_level=None)
            try:
                self._set_up()
            except BaseException:
                self._db.close()
                raise

    def _check(self, *, whole: bool) -> None:
        """Refuse a file that is not a journal of this program, or damaged, without writing to it."""
        uri = f"file:{in_uri(os.path.join(os.getcwd(), self._name))}?mode=ro"
        db = sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, isolation_level=None)
        try:
            check(db, self._name, whole=ended_unclean(self._name, db) or whole)
        finally:
            db.close()

    def _set_up(self) -> None:
        guard(self._db)
        self._db.execute("PRAGMA journal_mode = WAL")
        self._db.execute("PRAGMA synchronous = FULL")
        self._db.execute("PRAGMA foreign_keys = ON")
        self._db.execute("PRAGMA secure_delete = ON")
        if self._pragma("application_id") == APPLICATION_ID and not pending(self._db, self._name):
            return
        with self.writing():
            if self._pragma("application_id") != APPLICATION_ID:
                first_tables(self._db)
        for name, _ in MIGRATIONS:
            with self.writing():
                if name in pending(self._db, self._name):
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
                    raise JournalError(f"{self._name}:1: not recorded: {kind_name(type(record))}: {wrong}")
                values: dict[str, Any] = dated._asdict()
                del values["id"]
                names = ", ".join(values)
                marks = ", ".join("?" * len(values))
                sql = f"INSERT INTO {kind_name(type(record))} ({names}) VALUES ({marks})"
                number = self._db.execute(sql, tuple(values.values())).lastrowid
                added.append(cast("R", dated._replace(id=number or 0)))
        return added

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
        from assistant.journal.purging import erase_rows

        with told(self._name):
            with self.writing():
                gone = erase_rows(self._db, before, keep)
            whole = self._wipe()
        if not whole:
            raise JournalError(
                f"{self._name}:1: erased, but another program reads this journal, so that what was erased still lies "
                "in its file: close that program and run this again"
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
        from assistant.journal.purging import erase_rows

        with told(self._name):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                return erase_rows(self._db, before, keep)
            finally:
                self._db.execute("ROLLBACK")

    def _pragma(self, name: str) -> object:
        return self._db.execute(f"PRAGMA {name}").fetchone()[0]

    def writing(self) -> AbstractContextManager[None]:
        """Return that inside of which all that is added is written, or none of it; may stand in itself.

        What is read inside stays true until all is written, whatever others write meanwhile. When the outermost one is
        left, all is on the disk; an inner one that fails takes back its own part, and the outer one too unless the
        error is caught between them.
        """
        return _Writing(self)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self._db.close()


class _Writing:
    def __init__(self, journal: Journal) -> None:
        self._journal = journal

    def __enter__(self) -> None:
        journal = self._journal
        self._outermost = not journal._inside
        self._drop: tuple[str, ...]
        begin, self._keep, self._drop = _OUTER if self._outermost else _INNER
        with told(journal._name):
            journal._db.execute(begin)
        journal._inside = True

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        journal = self._journal
        with told(journal._name):
            try:
                if error is not None:
                    raise error
                journal._db.execute(self._keep)
            except BaseException:
                self._take_back()
                raise
            finally:
                journal._inside = not self._outermost

    def _take_back(self) -> None:
        try:
            for statement in self._drop:
                self._journal._db.execute(statement)
        except sqlite3.Error:
            pass
