"""An answer into a file of the current folder."""

from __future__ import annotations

import re
from itertools import count
from pathlib import Path

from assistant.model import Answer
from assistant.notes.writing import write_new

__all__ = ["save_answer"]


def save_answer(answer: Answer, text: str) -> Path:
    """Write ``text`` to a new file ``answer-<note id or 'question'>-<n>.txt`` and return its path.

    Raises
    ------
    OSError
        If it cannot be written; no part of a file stays behind.
    """
    name = re.sub(r"[^a-z0-9-]", "", answer.note.id) if answer.note else "question"
    folder = Path.cwd()
    for number in count(1):
        path = folder / f"answer-{name}-{number}.txt"
        try:
            write_new(path, text)
        except FileExistsError:
            continue
        return path
    raise AssertionError("numbers do not end")
