"""The file of a journal: made for its owner alone, held to the known tables, and read without touching it."""

from __future__ import annotations

import os
from functools import cache

from assistant.errors import JournalError
from assistant.journal.faults import damaged, told
from assistant.journal.migrations import MIGRATIONS
from assistant.journal.tables import TABLES
from assistant.pack.sqlite import sqlite3

TYPE_CHECKING = False
if TYPE_CHECKING:
    from pathlib import Path

__all__ = [
    "APPLICATION_ID",
    "BUSY_SECONDS",
    "check",
    "first_tables",
    "guard",
    "make_private",
    "migrate",
    "open_to_read",
    "pending",
    "private_folder",
]

APPLICATION_ID = 0x53744A6E
BUSY_SECONDS = 30.0
_LONGEST_FILE = 2**29
_LONGEST_VALUE = 2**20
"""Bytes that are read of a file, and of one value in it."""
_LEAST_STEPS = 10_000_000
_STEPS_A_BYTE = 10
_STEPS_AT_A_TIME = 10_000
_MOST_TABLES = 200
_MOST_TRIES = 5
_WAL, _SHARED, _ROLLBACK = "-wal", "-shm", "-journal"
_READ_WRITE_VERSIONS = slice(18, 20)
"""Of the header of a SQLite file (Database File Format, 1.3.3): 2 for a write-ahead log, 1 without."""


class _Steps:
    """Ends a statement after so many steps; counted and not timed, so that it ends alike on every machine."""

    def __init__(self, size: int) -> None:
        self.most = self.left = (_LEAST_STEPS + _STEPS_A_BYTE * size) // _STEPS_AT_A_TIME

    def __call__(self) -> bool:
        self.left -= 1
        return self.left < 0

    def again(self, _: str = "") -> None:
        """Begin to count anew."""
        self.left = self.most


def private_folder(path: str | os.PathLike[str]) -> None:
    """Make a folder, and those above it that are not there, for nobody but their owner."""
    name = os.fspath(path)
    above = os.path.dirname(name)
    if os.path.isdir(name or "."):
        return
    if above != name:
        private_folder(above)
    try:
        os.mkdir(name, 0o700)
    except FileExistsError:
        if not os.path.isdir(name):
            raise


def make_private(path: str | os.PathLike[str]) -> None:
    """Make the file of a journal and its folder where they are not there, and let nobody but the owner read them.

    Raises
    ------
    JournalError
        If they cannot be made.
    """
    try:
        private_folder(os.path.dirname(path))
        _make_file(path)
    except OSError as error:
        raise JournalError(f"{path}:1: cannot be made: {error.strerror}") from error
    for name in (os.fspath(path), *(os.path.realpath(path) + end for end in (_WAL, _SHARED, _ROLLBACK))):
        try:
            if os.path.isfile(name):
                os.chmod(name, 0o600)
        except OSError:
            pass


def _make_file(path: str | os.PathLike[str]) -> None:
    try:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return
    os.close(descriptor)


def open_to_read(path: Path, *, whole: bool = False) -> sqlite3.Connection:
    """Return a journal for reading alone: not a byte of its file changes, and no file is made beside it.

    One that no program has open is read into memory, where a journal of an older version is brought up to date; one
    that is being written is read as it is written. One that is not there yet is empty.

    Parameters
    ----------
    whole
        Look the whole file over, see `check`.

    Raises
    ------
    JournalError
        If the file is damaged, of another kind, newer than this program, or cannot be read.
    """
    from pathlib import Path

    if path.exists() and not path.is_file():
        raise JournalError(f"{path}:1: cannot be read or written: it is no file")
    with told(path):
        db, lies = _connect(Path(os.path.realpath(path)))
        try:
            found = check(db, path, whole=whole)
            if found and lies:
                raise JournalError(
                    f"{path}:1: of an older version of this program, and in use: record something with this one first"
                )
            if _pragma(db, "application_id") != APPLICATION_ID:
                first_tables(db)
            for name in found:
                migrate(db, name, "")
            db.execute("PRAGMA query_only = ON")
        except BaseException:
            db.close()
            raise
    return db


def _connect(path: Path) -> tuple[sqlite3.Connection, bool]:
    """Return a connection, and whether it is to the file as it lies there, which another program may be writing."""
    if _beside(path, _WAL) and _beside(path, _SHARED):
        db = sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True, timeout=BUSY_SECONDS, isolation_level=None)
        try:
            db.execute("SELECT 1 FROM sqlite_master").fetchone()
        except sqlite3.OperationalError:
            db.close()  # The folder cannot be written and the log is not one that can be read there.
        else:
            return db, True
    content = _content(path)
    db = sqlite3.connect(":memory:", isolation_level=None)
    if content:
        db.deserialize(content)
    return db, False


def _content(path: Path) -> bytes:
    """Return what is in a file that no program is writing, with what lies in a log beside it."""
    if not path.exists():
        return b""
    for _ in range(_MOST_TRIES):
        try:
            before = _state(path)
            if sum(size for _, size, _ in before) > _LONGEST_FILE:
                raise damaged(path, "it is larger than a journal becomes")
            content = _read(path)
            if _state(path) == before:
                return content
        except OSError as error:
            if path.exists() and not isinstance(error, FileNotFoundError):
                raise JournalError(f"{path}:1: cannot be read or written: {error.strerror}") from error
    raise JournalError(f"{path}:1: cannot be read or written: another program writes it again and again: try again")


def _state(path: Path) -> list[tuple[int, int, int]]:
    found = [file.stat() for file in (path, *_beside(path, _WAL, _ROLLBACK))]
    return [(stat.st_ino, stat.st_size, stat.st_mtime_ns) for stat in found]


def _read(path: Path) -> bytes:
    logs = _beside(path, _WAL, _ROLLBACK)
    if not logs:
        content = bytearray(path.read_bytes())
    else:
        from contextlib import closing
        from pathlib import Path
        from shutil import copyfile
        from tempfile import TemporaryDirectory

        with TemporaryDirectory() as folder:
            copy = Path(folder) / path.name
            for file in (path, *logs):
                copyfile(file, copy.with_name(file.name))
            with closing(sqlite3.connect(copy)) as db:
                db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            content = bytearray(copy.read_bytes())
    if content[_READ_WRITE_VERSIONS] == b"\2\2":
        content[_READ_WRITE_VERSIONS] = b"\1\1"
    return bytes(content)


def _beside(path: Path, *ends: str) -> list[Path]:
    """Return the files beside a journal that SQLite keeps for it, of those that are there."""
    return [file for end in ends if (file := path.with_name(path.name + end)).exists()]


def check(db: sqlite3.Connection, path: str | os.PathLike[str], *, whole: bool = False) -> list[str]:
    """Refuse what is not a journal of this program; return the names of the migrations that are still to be made.

    From then on a statement ends after so many steps, counted anew for each.

    Parameters
    ----------
    whole
        Read the whole file for damage, and look whether all is there that records name; without it this costs the same
        however much is kept, and damage elsewhere is met when that is read.

    Raises
    ------
    JournalError
        If it is damaged, of another kind, or newer than this program.
    """
    guard(db)
    size = _pragma(db, "page_count") * _pragma(db, "page_size")
    steps = _Steps(size)
    db.set_progress_handler(steps, _STEPS_AT_A_TIME)
    db.set_trace_callback(steps.again)
    db.execute("BEGIN")
    try:
        return _checked(db, path, whole=whole)
    finally:
        db.execute("ROLLBACK")


def guard(db: sqlite3.Connection) -> None:
    """Let a file run no code of its own, and read no value that is longer than a journal's."""
    db.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, _LONGEST_VALUE)
    db.execute("PRAGMA trusted_schema = OFF")
    db.execute("PRAGMA cell_size_check = ON")


def _pragma(db: sqlite3.Connection, name: str) -> int:
    return int(db.execute(f"PRAGMA {name}").fetchone()[0])


def _checked(db: sqlite3.Connection, path: str | os.PathLike[str], *, whole: bool) -> list[str]:
    tables = db.execute(f"SELECT type, name, tbl_name, sql FROM sqlite_master LIMIT {_MOST_TABLES}").fetchall()
    if _pragma(db, "application_id") != APPLICATION_ID:
        if tables:
            raise JournalError(f"{path}:1: not a journal of this program; it was left as it is")
        return [name for name, _ in MIGRATIONS]
    _no_code(tables, path)
    still = pending(db, path)
    found = sorted(map(_plain_table, tables))
    if (still or found != _listed_tables()) and found != _known_tables(len(MIGRATIONS) - len(still)):
        raise damaged(path, "its tables are not those of a journal")
    if whole:
        for (found,) in db.execute("PRAGMA quick_check(1)"):
            if found != "ok":
                raise damaged(path, found)
        for table, row, parent, _ in db.execute("PRAGMA foreign_key_check"):
            raise damaged(path, f"{table} {row}: its {parent} is not there")
    uid = db.execute("SELECT value FROM about WHERE key = 'uid'").fetchone()
    if uid is None or not (isinstance(uid[0], str) and uid[0].isalnum()):
        raise damaged(path, "what tells it from other journals is not there")
    return still


def _no_code(tables: list[tuple[str, ...]], path: str | os.PathLike[str]) -> None:
    for kind, name, _, _ in tables:
        if kind not in ("table", "index"):
            raise damaged(path, f"a {kind} '{name}' is no part of a journal")


def _plain_table(row: tuple[str, ...]) -> tuple[str, ...]:
    """Return a row of the schema without what the version of SQLite that wrote it decided on: quotes and spaces."""
    return tuple(" ".join((part or "").replace('"', "").split()) for part in row)


def pending(db: sqlite3.Connection, path: str | os.PathLike[str]) -> list[str]:
    """Return the names of the migrations that are still to be made; refuse a journal of a newer program."""
    made = [row[0] for row in db.execute("SELECT name FROM migration ORDER BY id LIMIT ?", (_MOST_TABLES,))]
    known = [name for name, _ in MIGRATIONS]
    if made != known[: len(made)]:
        raise JournalError(
            f"{path}:1: written by a newer version of this program; it was left as it is: update the program"
        )
    return known[len(made) :]


def _listed_tables() -> list[tuple[str, ...]]:
    """Return what the schema is after all migrations, without making it."""
    return [tuple(line.split("|", 3)) for line in TABLES.split("\n")[1:-1]]


@cache
def _known_tables(made: int) -> list[tuple[str, ...]]:
    """Return what the schema is after so many migrations."""
    from contextlib import closing

    with closing(sqlite3.connect(":memory:", isolation_level=None)) as db:
        first_tables(db)
        for name, _ in MIGRATIONS[:made]:
            migrate(db, name, "")
        rows = db.execute("SELECT type, name, tbl_name, sql FROM sqlite_master").fetchall()
    return sorted(map(_plain_table, rows))


def first_tables(db: sqlite3.Connection) -> None:
    """Make an empty file a journal that has no kind of record yet."""
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute("CREATE TABLE about (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT")
    db.execute("INSERT INTO about VALUES ('uid', ?)", (os.urandom(8).hex(),))
    db.execute("CREATE TABLE migration (id INTEGER PRIMARY KEY, name TEXT NOT NULL, at TEXT NOT NULL) STRICT")


def migrate(db: sqlite3.Connection, name: str, at: str) -> None:
    """Make one migration, at a time."""
    for statement in dict(MIGRATIONS)[name].split(";\n"):
        db.execute(statement)
    db.execute("INSERT INTO migration (name, at) VALUES (?, ?)", (name, at))
