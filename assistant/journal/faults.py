"""Turning what SQLite says into one line with the file's name and what to do."""

from __future__ import annotations

from assistant.analysis.tokens import printable
from assistant.errors import JournalError
from assistant.pack.sqlite import sqlite3

TYPE_CHECKING = False
if TYPE_CHECKING:
    import os
    from types import TracebackType

__all__ = ["Told", "damaged", "told"]

_FULL = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_SHMSIZE)
_MOST_TOLD = 200
"""Characters of a reason, which may quote the file."""


def told(path: str | os.PathLike[str]) -> Told:
    """Return what turns an error of SQLite inside of it into a `JournalError`."""
    return Told(path)


class Told:
    """What `told` returns; by hand, as `contextlib` takes longer to load than a question to keep."""

    def __init__(self, path: str | os.PathLike[str]) -> None:
        self._path = path

    def __enter__(self) -> None:
        pass

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if isinstance(error, (sqlite3.Error, MemoryError)):
            raise _in_words(self._path, error) from error


def _in_words(path: str | os.PathLike[str], error: Exception) -> JournalError:
    if isinstance(error, sqlite3.OperationalError):
        # What the Python module finds by itself, such as text that is no UTF-8, has no code.
        code = getattr(error, "sqlite_errorcode", None)
        if code in _FULL:
            return JournalError(f"{path}:1: the disk is full: this was not recorded; make room")
        if code is None:
            return damaged(path, error)
        if code == sqlite3.SQLITE_INTERRUPT:
            return damaged(path, "looking something up takes too many steps")
        return JournalError(f"{path}:1: cannot be read or written: {_plain(error)}")
    if isinstance(error, sqlite3.IntegrityError):
        return JournalError(f"{path}:1: not recorded: {_plain(error)}")
    return damaged(path, error)


def damaged(path: str | os.PathLike[str], found: object) -> JournalError:
    """Return the error that tells of damage in one line."""
    return JournalError(
        f"{path}:1: damaged journal: {_plain(found)}; it was left as it is: move it away and keep it for the desk"
    )


def _plain(found: object) -> str:
    return printable(str(found))[:_MOST_TOLD] or type(found).__name__
