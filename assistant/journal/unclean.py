"""Whether a program that had a journal open ended without closing it, as one does that is killed or loses its power.

SQLite takes the log beside a journal away when the last program closes it. So a log that lies there while no program
has the journal open tells of an unclean end. Nothing has to be written for that, at no opening and at no end: there is
no moment at which a kill could leave a wrong mark.
"""

from __future__ import annotations

import os

from assistant.pack.sqlite import sqlite3

__all__ = ["ended_unclean"]

_LOG = "-wal"


def ended_unclean(path: str, reader: sqlite3.Connection) -> bool:
    """Tell whether the last program that had a journal open did not close it; the file and its log stay as they are.

    Parameters
    ----------
    path
        The file of the journal.
    reader
        A connection to it, which only reads, from which nothing was read yet.
    """
    real = os.path.realpath(path)
    if not os.path.exists(real + _LOG):
        return False
    db = sqlite3.connect(real, timeout=0, isolation_level=None)
    try:
        try:
            db.execute("SELECT 1 FROM sqlite_master").fetchone()
            db.execute("PRAGMA locking_mode = EXCLUSIVE")
            db.execute("BEGIN IMMEDIATE")
            db.execute("ROLLBACK")
            db.execute("PRAGMA locking_mode = NORMAL")
            db.execute("SELECT 1 FROM sqlite_master").fetchone()
        except sqlite3.OperationalError as error:
            if getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_BUSY:
                return False
            raise
        # Closing the last connection that can write would put the log away; this one keeps it from being the last.
        reader.execute("SELECT 1 FROM sqlite_master").fetchone()
    finally:
        db.close()
    return True
