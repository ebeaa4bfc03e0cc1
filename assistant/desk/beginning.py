"""A folder of notes to begin with: the least that each file holds, or a small example of another trade."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from secrets import token_hex

from assistant.errors import Fault, NotesError, UsageError
from assistant.notes.trade import TRADE
from assistant.notes.writing import write_whole

__all__ = ["begin", "begin_trade", "starting_texts"]

_EMPTY, _EXAMPLE, _SHARED = "empty", "example", "shared"
_RANDOM_BYTES = 8


def starting_texts(*, example: bool) -> dict[str, str]:
    """Return the text of every file to begin with, by its path below the folder."""
    starting = resources.files("assistant.desk").joinpath("starting")
    kinds = (_SHARED, _EXAMPLE if example else _EMPTY)
    return {name: text for kind in kinds for name, text in _texts(starting.joinpath(kind), "")}


def _texts(folder: Traversable, below: str) -> Iterator[tuple[str, str]]:
    for entry in sorted(folder.iterdir(), key=lambda entry: entry.name):
        name = f"{below}{entry.name}"
        if entry.is_dir():
            yield from _texts(entry, f"{name}/")
        else:
            yield name, entry.read_text("utf-8")


def begin(root: Path, *, example: bool) -> tuple[str, ...]:
    """Write all files into a folder that is not there yet or is empty, and return their paths below it.

    They are written beside it and moved into it at the end, so that all are there or none.

    Raises
    ------
    UsageError
        If something stands there already.
    NotesError
        If they cannot be written.
    """
    root = root.absolute()
    if root.is_symlink() or (root.exists() and not root.is_dir()):
        raise UsageError(f"{root}: is no folder")
    if root.exists() and any(root.iterdir()):
        raise UsageError(f"{root}: is not empty; name a folder that is empty or not there yet")
    texts = starting_texts(example=example)
    made = root.parent / f".{root.name}.{token_hex(_RANDOM_BYTES)}"
    try:
        for name, text in texts.items():
            (made / name).parent.mkdir(parents=True, exist_ok=True)
            write_whole(made / name, text)
        _move(made, root)
    except OSError as error:
        raise NotesError([Fault(str(root), 1, f"cannot be written: {error.strerror}")]) from error
    finally:
        shutil.rmtree(made, ignore_errors=True)
    return tuple(texts)


def _move(made: Path, root: Path) -> None:
    """Move what was made to its place: as a whole, or by pieces into an empty folder that somebody may stand in."""
    if not root.exists():
        made.rename(root)
        return
    moved: list[Path] = []
    try:
        for entry in sorted(made.iterdir()):
            entry.rename(root / entry.name)
            moved.append(root / entry.name)
    except BaseException:  # Ctrl-C as well: all or none
        for entry in moved:
            entry.rename(made / entry.name)
        raise


def begin_trade(root: Path) -> bool:
    """Write a small trade to begin with where the folder has none, and tell whether it did.

    Raises
    ------
    NotesError
        If it cannot be written.
    """
    path = root / TRADE
    if path.exists() or path.is_symlink():
        return False
    write_whole(path, starting_texts(example=False)[TRADE])
    return True
