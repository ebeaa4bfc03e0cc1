"""A text into a new file of the folder of saved files."""

from __future__ import annotations

import re
from datetime import datetime
from itertools import count
from pathlib import Path

from assistant.notes.writing import write_new

__all__ = ["save_text"]

_LONGEST = 40


def save_text(folder: Path, names: tuple[str, ...], moment: datetime, text: str) -> Path:
    """Write ``text`` to a new file and return its path.

    Parameters
    ----------
    folder
        Is made where it is not there.
    names
        What the file is named after, the local time last; empty ones are left out.
    moment
        When it is saved.

    Raises
    ------
    OSError
        If it cannot be written; no part of a file stays behind.
    """
    folder.mkdir(parents=True, exist_ok=True)
    told = [re.sub(r"[^A-Za-z0-9]+", "-", name)[:_LONGEST].strip("-") for name in names]
    stem = "-".join([*filter(None, told), f"{moment.astimezone():%Y-%m-%d-%H%M}"])
    for number in count(1):
        path = folder / f"{stem}{'' if number == 1 else f'-{number}'}.txt"
        try:
            write_new(path, text)
        except FileExistsError:
            continue
        return path
    raise AssertionError("numbers do not end")
