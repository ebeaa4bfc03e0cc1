"""A new note as a complete, valid skeleton."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from pathlib import Path

from assistant.analysis.tokens import printable
from assistant.errors import NotesError, UsageError
from assistant.model import ACTIONS, STATIONS
from assistant.notes.reader import read_note
from assistant.notes.writing import write_whole

__all__ = ["new_note", "note_text"]

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")


def note_text(
    id: str, title: str, *, station: Sequence[str], action: str, minutes: int, today: date, condition: str = ""
) -> str:
    """Return a note that is valid as it stands; what is still to be written says so."""
    return f"""---
id: {id}
title: {title}
station: [{", ".join(station)}]
action: {action}
minutes: {minutes}
tools: []
parts: []
see_also: []
revision: 1
reviewed: {today.isoformat()}
sources: [common practice]
---

## Condition

{condition or "Say here what the rep sees, hears or smells."}

## Steps

1. Write the first instruction here.
2. Test the station with the demo.

## Result

Say here how to tell that it is mended.

## If it still fails

Call the support desk.
"""


def new_note(
    root: Path,
    id: str,
    title: str,
    *,
    station: Sequence[str],
    action: str,
    minutes: int,
    today: date,
    questions: Sequence[str] = (),
) -> Path:
    """Write a new note with its example questions into its folder and return its path.

    Raises
    ------
    UsageError
        If something given is not of the form that a note needs, or the note is there already.
    """
    if not _ID.fullmatch(id):
        raise UsageError("an id reads area-what, in small letters and digits, such as pad-stick-cap")
    if action not in ACTIONS:
        raise UsageError(f"action must be one of {', '.join(ACTIONS)}")
    if not station or any(kind not in STATIONS for kind in station):
        raise UsageError(f"station must be one or more of {', '.join(STATIONS)}")
    area = id.partition("-")[0]
    path = root / area / f"{id}.md"
    if path.exists():
        raise UsageError(f"{path}: is there already")
    text = note_text(id, printable(title), station=station, action=action, minutes=minutes, today=today)
    try:
        read_note(text, f"{area}/{id}.md")
    except NotesError as error:
        raise UsageError("; ".join(fault.message for fault in error.faults)) from error
    lines = [f"# {printable(title)}: questions that reps ask", *(printable(question) for question in questions)]
    path.parent.mkdir(parents=True, exist_ok=True)
    write_whole(path.with_suffix(".questions.txt"), "\n".join(lines) + "\n")
    write_whole(path, text)
    return path
