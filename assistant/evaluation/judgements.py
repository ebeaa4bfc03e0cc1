"""What a labeller judged: a file that only grows, one whole judgement of a question a line."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from assistant.analysis.tokens import json_line, printable
from assistant.errors import Fault, NotesError
from assistant.evaluation.jsonl import json_object
from assistant.notes.text import regular

__all__ = ["FORM", "MARKS", "Judgement", "JudgementFile", "label_lines", "read_judgements"]

FORM = "labels 1"
MARKS = ("", "uncovered", "unsure")
_ANY_FORM = re.compile(r"labels \d+")


class Judgement(NamedTuple):
    """What is right for one question.

    ``notes`` are ids, best first; ``steps`` maps some of them to the steps that deal with exactly what is asked.
    ``mark`` is one of `MARKS`: no note answers it, or the labeller cannot tell. ``at`` is when it was judged, in UTC.
    Without notes and without a mark the question is open: never judged, or taken back.
    """

    id: str
    question: str
    notes: tuple[str, ...] = ()
    steps: Mapping[str, tuple[int, ...]] = MappingProxyType({})
    mark: str = ""
    at: str = ""

    @property
    def is_open(self) -> bool:
        """Whether it still has to be judged."""
        return not self.notes and not self.mark


class JudgementFile:
    """The file of one labeller; it is made by the first judgement.

    A last line that was cut off in the midst of writing was never confirmed: it is passed over, and taken away by the
    next judgement.

    Parameters
    ----------
    path
        The file; one that is there is gone on with.
    labeller
        Who judges.

    Raises
    ------
    NotesError
        If the file is broken, of another kind, newer than this program, another labeller's, or cannot be read. It is
        left as it is.
    """

    def __init__(self, path: Path, labeller: str) -> None:
        self.path = path
        self._head = _line({"form": FORM, "labeller": labeller})
        raw = _read(path) if os.path.lexists(path) else b""
        self._latest: dict[str, Judgement] = {}
        self._whole = 0
        self._size = len(raw)
        if self._head.startswith(raw):
            self._whole = len(raw) if raw == self._head else 0
        else:
            name, self._latest = _parse(path, raw)
            if name != labeller:
                raise _refused(path, 1, f"holds the labels of '{printable(name)}', not of '{printable(labeller)}'")
            self._whole = raw.rfind(b"\n") + 1
        self._lines = raw[: self._whole].count(b"\n")
        self._there = os.path.lexists(path)

    def latest(self) -> dict[str, Judgement]:
        """Return the judgement of each question by its id; the last one made counts."""
        return dict(self._latest)

    def add(self, judgement: Judgement) -> None:
        """Write a judgement; when this returns it is on the disk.

        Raises
        ------
        NotesError
            If it cannot be written, or another program has changed the file; all that was confirmed is still there.
        """
        record = _line(judgement._asdict() | {"steps": dict(judgement.steps)})
        text = record if self._whole else self._head + record
        try:
            self._write(text)
        except OSError as error:
            told = f"cannot be written: {error.strerror or error}; all that was judged before is kept"
            raise _refused(self.path, self._lines + 1, told) from error
        self._latest[judgement.id] = judgement

    def _write(self, text: bytes) -> None:
        with self.path.open("r+b" if self._there else "xb", buffering=0) as file:
            self._there = True
            if file.seek(0, os.SEEK_END) != self._size:
                raise _refused(self.path, 1, "was changed by another program meanwhile; leave and open it again")
            try:
                self._size = file.truncate(self._whole)
                file.seek(self._whole)
                left = memoryview(text)
                while left:
                    left = left[file.write(left) :]
                os.fsync(file.fileno())
            except OSError:
                with suppress(OSError):
                    file.truncate(self._whole)
                self._size = file.seek(0, os.SEEK_END)
                raise
        self._whole = self._size = self._whole + len(text)
        self._lines += text.count(b"\n")


def read_judgements(path: Path) -> tuple[str, dict[str, Judgement]]:
    """Read a file of judgements whoever made them.

    Returns
    -------
    tuple
        The labeller, and the judgement of each question by its id.

    Raises
    ------
    NotesError
        As `JudgementFile` does.
    """
    return _parse(path, _read(path))


def label_lines(latest: Mapping[str, Judgement]) -> list[str]:
    """Return the labels as lines of JSON, {"question", "notes"}; what is open or unsure is left out."""
    return [
        json_line({"question": judgement.question, "notes": list(judgement.notes)})
        for judgement in latest.values()
        if not judgement.is_open and judgement.mark != "unsure"
    ]


def _line(value: Mapping[str, Any]) -> bytes:
    return f"{json_line(value)}\n".encode()


def _refused(path: Path, line: int, message: str) -> NotesError:
    return NotesError([Fault(str(path), line, message)])


def _read(path: Path) -> bytes:
    try:
        return regular(path).read_bytes()
    except OSError as error:
        raise _refused(path, 1, f"cannot be read: {error.strerror}") from error


def _parse(path: Path, raw: bytes) -> tuple[str, dict[str, Judgement]]:
    head, *lines = raw.split(b"\n")[:-1] or [raw]
    first = json_object(head) or {}
    form, labeller = first.get("form"), first.get("labeller")
    if not isinstance(form, str) or not _ANY_FORM.fullmatch(form):
        raise _refused(path, 1, f"not a file of labels: its first line has no form '{FORM}'")
    if form != FORM:
        raise _refused(path, 1, f"has the form '{form}', which this program does not know; use a newer one")
    if not isinstance(labeller, str) or set(first) != {"form", "labeller"}:
        raise _refused(path, 1, "the first line must name 'form' and 'labeller' and nothing else")
    latest: dict[str, Judgement] = {}
    faults = []
    for number, line in enumerate(lines, start=2):
        record = json_object(line) or {}
        wrong = _wrong(record)
        if wrong:
            faults.append(Fault(str(path), number, wrong))
            continue
        steps = {note: tuple(numbers) for note, numbers in record["steps"].items()}
        latest[record["id"]] = Judgement(**{**record, "notes": tuple(record["notes"]), "steps": steps})
    if faults:
        raise NotesError(faults)
    return labeller, latest


def _wrong(record: Mapping[str, Any]) -> str:
    if set(record) != set(Judgement._fields):
        return f"not a judgement: needs {', '.join(Judgement._fields)}"
    if not all(isinstance(record[name], str) for name in ("id", "question", "at")) or not record["id"]:
        return "'id', 'question' and 'at' must be text"
    notes = record["notes"]
    if not isinstance(notes, list) or not all(isinstance(note, str) for note in notes) or len(set(notes)) < len(notes):
        return "'notes' must be a list of different ids"
    if record["mark"] not in MARKS or (record["mark"] == "uncovered" and notes):
        return "'mark' must be empty, 'unsure', or 'uncovered' where no note is named"
    steps = record["steps"]
    if not isinstance(steps, dict) or not set(steps) <= set(notes) or not all(map(_are_numbers, steps.values())):
        return "'steps' must map ids among the notes to lists of step numbers"
    return ""


def _are_numbers(value: object) -> bool:
    return isinstance(value, list) and all(type(number) is int and number > 0 for number in value)
