"""Files that an author keeps, written whole or not at all."""

from __future__ import annotations

import os
import secrets
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from glob import escape
from pathlib import Path

from assistant.errors import Fault, NotesError
from assistant.notes.text import read_text

__all__ = ["add_lines", "put_back", "write_new", "write_read_back", "write_whole"]

_ANYBODY = 0o666
"""May read and write, as far as the user lets them: what an author keeps is no secret."""
_OWNER = 0o600
_PART = ".part"
_RANDOM_BYTES = 8
_LONGEST_WRITE_SECONDS = 600


def add_lines(path: Path, lines: Sequence[str], *, shown: str) -> int:
    """Add the lines that a text file does not have yet at its end, all at once, and tell how many they are.

    Raises
    ------
    NotesError
        If the file cannot be read or written.
    """
    text = read_text(path, shown) if path.exists() or path.is_symlink() else ""
    held = set(text.split("\n"))
    new = [line for line in dict.fromkeys(lines) if line not in held]
    if new:
        ended = text if not text or text.endswith("\n") else f"{text}\n"
        write_whole(path, ended + "".join(f"{line}\n" for line in new))
    return len(new)


def write_whole(path: Path, text: str, *, private: bool = False) -> None:
    """Write a file at once or not at all: a temporary file, synced and renamed; a ``private`` one for its owner alone.

    Its name cannot be foreseen and nothing that stands there already is opened; a link at ``path`` is replaced, not
    followed.

    Raises
    ------
    NotesError
        If it cannot be written; what stood there stays.
    """
    _write_whole(path, text.encode("utf-8"), _OWNER if private else _ANYBODY)


def _write_whole(path: Path, raw: bytes, mode: int = _ANYBODY) -> None:
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(_RANDOM_BYTES)}{_PART}")
    try:
        _sweep(path)
        with os.fdopen(_created(temporary, mode), "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        raise NotesError([Fault(str(path), 1, f"cannot be written: {error.strerror}")]) from error
    finally:
        with suppress(OSError):
            temporary.unlink()


def _sweep(path: Path) -> None:
    """Take away what a writer of this file left behind that was killed some time ago."""
    for left in path.parent.glob(f".{escape(path.name)}.{'[0-9a-f]' * 2 * _RANDOM_BYTES}{_PART}"):
        with suppress(OSError):
            if time.time() - left.lstat().st_mtime > _LONGEST_WRITE_SECONDS:
                left.unlink()


def _created(path: Path, mode: int) -> int:
    """Make a file that is not there yet, and no link either, and return its open descriptor."""
    return os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0), mode)


@contextmanager
def put_back(*paths: Path) -> Iterator[None]:
    """Put files back byte for byte where what is done with them raises; those that were not there go."""
    before = {path: path.read_bytes() if path.exists() else None for path in paths}
    try:
        yield
    except BaseException:
        for path, raw in before.items():
            if raw is None:
                path.unlink(missing_ok=True)
            elif not path.exists() or path.read_bytes() != raw:
                _write_whole(path, raw)
        raise


def write_read_back(path: Path, text: str, read: Callable[[], object]) -> None:
    """Write a file whole and read it back; where ``read`` raises, what stood there is put back and it raises on."""
    with put_back(path):
        write_whole(path, text)
        read()


def write_new(path: Path, text: str | bytes) -> None:
    """Write a file that is not there yet, for nobody but its owner; no part of it stays where it cannot be written.

    Raises
    ------
    FileExistsError
        If it is there.
    OSError
        If it cannot be written; the error names the file.
    """
    raw = text.encode("utf-8") if isinstance(text, str) else text
    with os.fdopen(_created(path, _OWNER), "wb") as file:
        try:
            file.write(raw)
            file.flush()
        except BaseException as error:
            with suppress(OSError):
                path.unlink()
            if isinstance(error, OSError):
                error.filename = error.filename or str(path)
            raise
