"""Questions that are to be labelled: read without their labels, and a random sample of them."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from assistant.errors import Fault, NotesError, UsageError
from assistant.evaluation.jsonl import json_object
from assistant.notes.text import regular

__all__ = ["Asked", "read_asked", "sample_asked"]


class Asked(NamedTuple):
    """A question and nothing of what is right for it."""

    id: str
    question: str


def read_asked(path: Path) -> list[Asked]:
    """Read questions: one object with ``question`` and perhaps ``id`` a line in a ``.jsonl`` file, else one a line.

    Whatever else an object holds is not looked at. A question without an id gets one made of its text.

    Raises
    ------
    NotesError
        With the line of every question that is none, or that stands there twice.
    """
    try:
        text = regular(path).read_text("utf-8-sig")
    except UnicodeDecodeError as error:
        raise NotesError([Fault(str(path), error.object[: error.start].count(b"\n") + 1, "not valid UTF-8")]) from error
    except OSError as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error.strerror}")]) from error
    is_json = path.suffix == ".jsonl"
    faults: list[Fault] = []
    lines: dict[str, int] = {}
    questions = []
    for number, content in enumerate(text.split("\n"), start=1):
        if not content.strip():
            continue
        found = _of_object(content) if is_json else _of_text(content)
        if isinstance(found, str):
            faults.append(Fault(str(path), number, found))
        elif found.id in lines:
            faults.append(Fault(str(path), number, f"stands there already, in line {lines[found.id]}"))
        else:
            lines[found.id] = number
            questions.append(found)
    if not questions and not faults:
        faults.append(Fault(str(path), 1, "holds no question"))
    if faults:
        raise NotesError(faults)
    return questions


def sample_asked(questions: Sequence[Asked], count: int, seed: int) -> list[Asked]:
    """Return ``count`` of the questions drawn at random; the same for the same seed, whatever their order.

    Raises
    ------
    UsageError
        If there are not so many.
    """
    if not 1 <= count <= len(questions):
        raise UsageError(f"a sample of {count} cannot be drawn from {len(questions)} questions")
    return sorted(questions, key=lambda asked: _digest(f"{seed} {asked.id}"))[:count]


def _of_object(content: str) -> Asked | str:
    record = json_object(content)
    if record is None:
        return "not a JSON object"
    question = record.get("question")
    if not isinstance(question, str) or not question.strip():
        return "'question' must be text"
    own = record.get("id", _own_id(question))
    return Asked(own, question) if isinstance(own, str) and own else "'id' must be text"


def _of_text(content: str) -> Asked | str:
    question = content.strip()
    if question.startswith("{"):
        return "looks like JSON: give the file a name that ends in .jsonl"
    return Asked(_own_id(question), question)


def _own_id(question: str) -> str:
    return f"t-{_digest(question)[:16]}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
