"""Files that an author keeps, written whole or not at all."""

from __future__ import annotations

import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from assistant.errors import Fault, NotesError
from assistant.notes.text import read_text

__all__ = ["add_line", "write_new", "write_read_back", "write_whole"]


def add_line(path: Path, line: str, *, shown: str) -> bool:
    """Add a line at the end of a text file, and tell whether it was not there yet.

    Raises
    ------
    NotesError
        If the file cannot be read.
    """
    text = read_text(path, shown) if path.exists() else ""
    if line in text.split("\n"):
        return False
    ended = text if not text or text.endswith("\n") else f"{text}\n"
    write_whole(path, f"{ended}{line}\n")
    return True


def write_whole(path: Path, text: str) -> None:
    """Write a file at once or not at all: a temporary file, synced and renamed.

    Raises
    ------
    NotesError
        If it cannot be written; what stood there stays.
    """
    temporary = path.with_name(f".{path.name}.part")
    try:
        with temporary.open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        with suppress(OSError):
            temporary.unlink()
        raise NotesError([Fault(str(path), 1, f"cannot be written: {error.strerror}")]) from error


def write_read_back(path: Path, text: str, read: Callable[[], object]) -> None:
    """Write a file whole and read it back; where ``read`` raises, what stood there is put back and it raises on."""
    before = path.read_bytes().decode("utf-8") if path.exists() else None
    write_whole(path, text)
    try:
        read()
    except BaseException:
        if before is None:
            path.unlink()
        else:
            write_whole(path, before)
        raise


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet; no part of it stays behind where it cannot be written.

    Raises
    ------
    FileExistsError
        If it is there.
    OSError
        If it cannot be written; the error names the file.
    """
    with path.open("x", encoding="utf-8", newline="") as file:
        try:
            file.write(text)
            file.flush()
        except OSError as error:
            with suppress(OSError):
                path.unlink()
            error.filename = error.filename or str(path)
            raise
