"""Labels looked at again: the line is written anew with its day, and what it said before stays in its history."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from assistant.analysis.tokens import json_line
from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.jsonl import json_object
from assistant.evaluation.judgements import Judgement
from assistant.evaluation.labels import read_questions
from assistant.notes.corpus import read_corpus
from assistant.notes.text import read_text, regular
from assistant.notes.writing import write_read_back

__all__ = ["Renewals", "put_line_back", "renewed", "restored", "take_line_out"]

_KEPT = ("notes", "manner", "kind", "steps", "since")
"""Fields of a record that a new label changes."""
_SHORT, _LONG = 5, 35
"""Words of the manners ``short``, at most, and ``long``, at least."""
Record = dict[str, Any]


def renewed(record: Mapping[str, Any], notes: Sequence[str], seen: Sequence[str], since: str) -> Record:
    """Return the record of a question with a new label; the one before is added to ``was``.

    A label that is changed again for the sake of the same notes adds nothing: ``was`` keeps what stood there first.

    Parameters
    ----------
    notes
        Best first; empty where no note answers the question.
    seen
        The new notes for the sake of which it was looked at.
    since
        From when the new label holds.

    Raises
    ------
    UsageError
        If the question tells of danger, or asks leave for something, and would be left without a note.
    """
    first = restored(record, seen)
    manner = first["manner"]
    if not notes and (first.get("danger") or manner in ("cry", "forbidden")):
        raise UsageError(f"{first['id']}: tells of harm or of a forbidden act; a note is needed")
    was = [*first.get("was", []), {**{k: first[k] for k in _KEPT if k in first}, "seen": list(seen)}]
    made = {k: v for k, v in first.items() if k not in ("kind", "steps", "since", "was")}
    made["notes"] = list(notes)
    if notes and manner == "uncovered":
        words = len(first["question"].split())
        made["manner"] = "short" if words <= _SHORT else "long" if words >= _LONG else "plain"
    elif notes or manner == "look-alike":
        steps = {note: numbers for note, numbers in first.get("steps", {}).items() if note in notes}
        made |= {"steps": steps} if steps else {}
    else:
        made |= {"manner": "uncovered", "kind": first.get("kind") or "near"}
    return {**made, "since": since, "was": was}


def restored(record: Mapping[str, Any], seen: Sequence[str]) -> Record:
    """Return the record as it was before it was looked at for the sake of some notes."""
    was = list(record.get("was", []))
    if not was or was[-1]["seen"] != list(seen):
        return dict(record)
    last = was.pop()
    kept = {k: v for k, v in record.items() if k not in (*_KEPT, "was")}
    before = {**kept, **{k: last[k] for k in _KEPT if k in last}}
    return {**before, "was": was} if was else before


class Renewals:
    """Takes judgements of questions as a file of judgements does, and writes them into ``questions.jsonl`` at once.

    Parameters
    ----------
    path
        The labelled questions.
    since
        From when the new labels hold.
    seen
        Question id -> the new notes for the sake of which it is looked at.
    """

    def __init__(self, path: Path, since: str, seen: Mapping[str, Sequence[str]]) -> None:
        self.path = path
        self._since = since
        self._seen = seen

    def latest(self) -> dict[str, Judgement]:
        """Return nothing: what was looked at is not asked again."""
        return {}

    def add(self, judgement: Judgement) -> None:
        """Write a judgement; when this returns it is on the disk.

        An open or an unsure one puts the label back as it was.

        Raises
        ------
        NotesError
            If the file cannot be read or written; it stays as it was.
        UsageError
            If the question must not be without a note.
        """
        seen = self._seen.get(judgement.id, ())

        def change(record: Record) -> Record:
            if judgement.is_open or judgement.mark == "unsure":
                return restored(record, seen)
            made = renewed(record, judgement.notes, seen, self._since)
            steps = {note: list(numbers) for note, numbers in judgement.steps.items()}
            return {**made, "steps": {**made.get("steps", {}), **steps}} if steps else made

        _rewrite(self.path, judgement.id, change)


def _rewrite(path: Path, id: str, change: Callable[[Record], Record]) -> None:
    """Change the record of one question; every other line stays byte for byte."""
    try:
        lines = regular(path).read_text("utf-8").split("\n")
    except (OSError, UnicodeDecodeError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error}")]) from error
    for place, line in enumerate(lines):
        record = json_object(line)
        if record is not None and record.get("id") == id:
            lines[place] = json_line(change(record))
            break
    else:
        raise UsageError(f"{path}: no labelled question '{id}'")
    write_read_back(path, "\n".join(lines), lambda: read_questions(path))


def take_line_out(root: Path, line: str) -> int:
    """Take a line out of ``uncovered.txt``, all other lines as they were, and return before which row it stood.

    Raises
    ------
    UsageError
        If it does not stand there.
    NotesError
        If the notes cannot be read afterwards; the file stays as it was.
    """
    path, rows = _uncovered(root)
    wanted = line.strip()
    kept = [row for row in rows if not wanted or row.strip() != wanted or row.startswith("#")]
    if len(kept) == len(rows):
        raise UsageError(f"uncovered.txt has no line '{line}'")
    write_read_back(path, "\n".join(kept), lambda: read_corpus(root))
    return next((place for place, row in enumerate(kept) if row != rows[place]), len(kept))


def put_line_back(root: Path, line: str, place: int) -> None:
    """Put a line that was taken out back before a row; raises as `take_line_out` does where the notes are broken."""
    path, rows = _uncovered(root)
    write_read_back(path, "\n".join([*rows[:place], line, *rows[place:]]), lambda: read_corpus(root))


def _uncovered(root: Path) -> tuple[Path, list[str]]:
    path = root / "uncovered.txt"
    return path, read_text(path, path.name).split("\n") if path.exists() else []
