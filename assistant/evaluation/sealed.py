"""The sealed questions: opened by one command alone, and every opening is written down."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.labels import LabelledQuestion, Talk, read_questions, read_talks
from assistant.evaluation.statistics import Share
from assistant.notes.text import regular
from assistant.notes.writing import add_lines

__all__ = ["LEDGER", "Opening", "last_opening", "ledger_line", "read_sealed", "write_ledger"]

LEDGER = "ledger.jsonl"
"""File beside the sealed questions with a line for each time that they were scored."""


class Opening(NamedTuple):
    """One opening of the sealed questions, the how many-th it was, and what it showed."""

    date: str
    pack: str
    why: str
    number: int
    figures: Mapping[str, Share]


def last_opening(folder: Path) -> Opening | None:
    """Return the last line of the ledger; None where there is none. The questions themselves are not read.

    Raises
    ------
    NotesError
        If the ledger cannot be read, or its last line is no opening.
    """
    path = folder / LEDGER
    if not path.exists():
        return None
    try:
        lines = [line for line in regular(path).read_text("utf-8").split("\n") if line.strip()]
    except (OSError, UnicodeDecodeError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error}")]) from error
    if not lines:
        return None
    record = json_object(lines[-1]) or {}
    try:
        figures = {str(name): Share(*map(int, counts)) for name, counts in record["figures"].items()}
        if any(not 0 <= share.k <= share.n for share in figures.values()):
            raise ValueError("counts more than there are")
        return Opening(str(record["date"]), str(record["pack"]), str(record["why"]), len(lines), figures)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise NotesError([Fault(str(path), len(lines), "not an opening: needs date, pack, why and figures")]) from error


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
