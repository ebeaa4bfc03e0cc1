"""Turning what SQLite says into one line with the file's name and what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.errors import JournalError

__all__ = ["damaged", "told"]

_FULL = (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_SHMSIZE)
_MOST_TOLD = 200
"""Characters of a reason, which may quote the file."""


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turn an error of SQLite into a `JournalError`."""
    try:
        yield
    except sqlite3.OperationalError as error:
        # What the Python module finds by itself, such as text that is no UTF-8, has no code.
        code = getattr(error, "sqlite_errorcode", None)
        if code in _FULL:
            raise JournalError(f"{path}:1: the disk is full: this was not recorded; make room") from error
        if code is None:
            raise damaged(path, error) from error
        if code == sqlite3.SQLITE_INTERRUPT:
            raise damaged(path, "looking something up takes too many steps") from error
        raise JournalError(f"{path}:1: cannot be read or written: {_plain(error)}") from error
    except sqlite3.IntegrityError as error:
        raise JournalError(f"{path}:1: not recorded: {_plain(error)}") from error
    except (sqlite3.Error, MemoryError) as error:
        raise damaged(path, error) from error


def damaged(path: Path, found: object) -> JournalError:
    """Return the error that tells of damage in one line."""
    return JournalError(
        f"{path}:1: damaged journal: {_plain(found)}; it was left as it is: move it away and keep it for the desk"
    )


def _plain(found: object) -> str:
    return printable(str(found))[:_MOST_TOLD] or type(found).__name__
