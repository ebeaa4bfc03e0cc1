"""The sealed questions: opened by one command alone, and every opening is written down."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

from assistant.errors import UsageError
from assistant.evaluation.labels import LabelledQuestion, Talk, read_questions, read_talks
from assistant.notes.writing import add_lines

__all__ = ["LEDGER", "ledger_line", "read_sealed", "write_ledger"]

LEDGER = "ledger.jsonl"
"""File beside the sealed questions with a line for each time that they were scored."""


def read_sealed(folder: Path) -> tuple[list[LabelledQuestion], list[Talk], str]:
    """Return questions and talks of a folder, and a digest of both files.

    Raises
    ------
    NotesError
        If a file cannot be read.
    UsageError
        If a record is not of the sealed split.
    """
    files = (folder / "questions.jsonl", folder / "dialogues.jsonl")
    questions, talks = read_questions(files[0]), read_talks(files[1])
    if any(split != "sealed" for split in (*(q.split for q in questions), *(talk.split for talk in talks))):
        raise UsageError(f"{folder}: holds records of another split")
    digest = hashlib.sha256(b"\0".join(file.read_bytes() for file in files)).hexdigest()
    return questions, talks, digest[:12]


def ledger_line(
    moment: datetime, pack: str, labels: str, shares: Mapping[str, tuple[int, int]], reason: str
) -> dict[str, Any]:
    """Return what is kept of one opening: when, of which notes, on which labels, why, and every figure as k and n."""
    return {
        "date": moment.isoformat(timespec="seconds"),
        "pack": pack,
        "labels": labels,
        "why": reason,
        "figures": {name: list(share) for name, share in shares.items()},
    }


def write_ledger(folder: Path, line: Mapping[str, Any]) -> Sequence[str]:
    """Add a line to the ledger and return all of its lines."""
    path = folder / LEDGER
    add_lines(path, [json.dumps(line, ensure_ascii=False)], shown=LEDGER)
    return path.read_text("utf-8").removesuffix("\n").split("\n")
