"""Labelled questions and talks: their files, read and checked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from assistant.errors import Fault, NotesError
from assistant.evaluation.jsonl import json_object
from assistant.model import ABOUTS
from assistant.notes.text import regular

__all__ = ["ANSWERABLE", "MANNERS", "LabelledQuestion", "Talk", "TalkTurn", "read_questions", "read_talks"]

ANSWERABLE = ("short", "headword", "plain", "everyday", "noisy", "long")
MANNERS = (*ANSWERABLE, "ambiguous", "forbidden", "uncovered", "cry", "look-alike")
_KINDS = ("near", "off", "junk")
_SPLITS = ("tune", "sealed")
_MOST_STEPS = 999
_SINCE = re.compile(r"\d{4}-\d\d-\d\d(?: [0-9a-f]{12})?|[0-9a-f]{12}")
_WRONG_SINCE = "'since' must be a day such as 2026-11-02, the digest of the notes, or both"


@dataclass(frozen=True, slots=True)
class LabelledQuestion:
    """A question with its right notes.

    ``steps`` maps a note to the steps that deal with what was asked; ``danger`` names the safety notes of
    which one must come first; ``kind`` tells how far an uncovered question is from the notes; ``writer`` is a letter.
    ``since`` is the day from which the label holds, or the digest of the notes that it was checked against, or both;
    empty where that was not written down. ``seen`` are the notes for the sake of which it was looked at again.
    """

    id: str
    question: str
    manner: str
    notes: tuple[str, ...]
    split: str
    writer: str
    kind: str = ""
    danger: tuple[str, ...] = ()
    steps: tuple[tuple[str, tuple[int, ...]], ...] = ()
    since: str = ""
    seen: tuple[str, ...] = ()

    @property
    def right_first(self) -> tuple[str, ...]:
        """The notes of which one must be first: a safety note where the question tells of danger."""
        return self.danger or self.notes

    @property
    def relevant(self) -> tuple[str, ...]:
        """All notes that count as right in a ranking: those labelled, and the safety notes."""
        return (*self.notes, *self.danger)


@dataclass(frozen=True, slots=True)
class TalkTurn:
    """One turn with the note that its answer must come from and what it is about; ``seen`` as of a question.

    ``since`` is as of a question too, where the turn alone was looked at again.
    """

    question: str
    notes: tuple[str, ...]
    about: str
    seen: tuple[str, ...] = ()
    since: str = ""


@dataclass(frozen=True, slots=True)
class Talk:
    """Two or three turns of one talk; ``since`` as of a question."""

    id: str
    turns: tuple[TalkTurn, ...]
    split: str
    since: str = ""


def read_questions(path: Path) -> list[LabelledQuestion]:
    """Read ``questions.jsonl``.

    Raises
    ------
    NotesError
        With the line of every record that is not as it should be.
    """
    questions: list[LabelledQuestion] = []
    faults: list[Fault] = []
    seen: set[str] = set()
    for line, record in _records(path, faults):
        message = _wrong_question(record, seen)
        if message:
            faults.append(Fault(str(path), line, message))
            continue
        seen.add(record["id"])
        questions.append(
            LabelledQuestion(
                id=record["id"],
                question=record["question"],
                manner=record["manner"],
                notes=tuple(record["notes"]),
                split=record["split"],
                writer=record.get("writer", ""),
                kind=record.get("kind", ""),
                danger=_dangers(record),
                steps=tuple((note, tuple(ns)) for note, ns in sorted(record.get("steps", {}).items())),
                since=record.get("since", ""),
                seen=_seen(record),
            )
        )
    if faults:
        raise NotesError(faults)
    return questions


def read_talks(path: Path) -> list[Talk]:
    """Read ``dialogues.jsonl``; raises as `read_questions` does."""
    talks: list[Talk] = []
    faults: list[Fault] = []
    for line, record in _records(path, faults):
        turns = record.get("turns")
        named = isinstance(record.get("id"), str) and record.get("split") in _SPLITS
        if not named or not isinstance(turns, list) or not all(map(_is_turn, turns)):
            faults.append(Fault(str(path), line, "needs 'id', 'split' and 'turns' of question, notes and about"))
            continue
        if not _is_since(record):
            faults.append(Fault(str(path), line, _WRONG_SINCE))
            continue
        talks.append(
            Talk(
                record["id"],
                tuple(map(_turn, turns)),
                record["split"],
                record.get("since", ""),
            )
        )
    if faults:
        raise NotesError(faults)
    return talks


def _records(path: Path, faults: list[Fault]) -> Iterator[tuple[int, dict[str, Any]]]:
    try:
        text = regular(path).read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise NotesError([Fault(str(path), 1, f"cannot be read: {error}")]) from error
    for line, content in enumerate(text.split("\n"), start=1):
        if not content.strip():
            continue
        record = json_object(content)
        if record is not None:
            yield line, record
        else:
            faults.append(Fault(str(path), line, "not a JSON object"))


def _wrong_question(record: dict[str, Any], seen: set[str]) -> str:
    notes = record.get("notes")
    if not isinstance(record.get("id"), str) or record["id"] in seen:
        return "'id' must be text that no other record has"
    if not isinstance(record.get("question"), str) or not record["question"].strip():
        return "'question' must be text"
    if record.get("manner") not in MANNERS:
        return f"'manner' must be one of {', '.join(MANNERS)}"
    if record.get("split") not in _SPLITS:
        return f"'split' must be one of {', '.join(_SPLITS)}"
    if not _are_ids(notes):
        return "'notes' must be a list of ids"
    if record["manner"] != "look-alike" and (record["manner"] == "uncovered") != (not notes):
        return "'notes' must be empty for uncovered questions, may be for look-alikes, and for no others"
    if record["manner"] == "uncovered" and record.get("kind") not in _KINDS:
        return f"'kind' of an uncovered question must be one of {', '.join(_KINDS)}"
    if not all(isinstance(note, str) for note in _dangers(record)):
        return "'danger' must be an id or a list of ids"
    if not _are_steps(record.get("steps", {})):
        return "'steps' must map ids to lists of step numbers"
    if not _is_since(record):
        return _WRONG_SINCE
    if not _are_earlier(record.get("was", [])):
        return "'was' must be a list of earlier labels, each with 'notes' and 'seen', lists of ids"
    return ""


def _turn(turn: dict[str, Any]) -> TalkTurn:
    return TalkTurn(turn["question"], tuple(turn["notes"]), turn["about"], _seen(turn), turn.get("since", ""))


def _seen(record: dict[str, Any]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(note for was in record.get("was", ()) for note in was["seen"]))


def _is_since(record: dict[str, Any]) -> bool:
    since = record.get("since", "")
    return since == "" or (isinstance(since, str) and _SINCE.fullmatch(since) is not None)


def _are_earlier(was: object) -> bool:
    return isinstance(was, list) and all(
        isinstance(one, dict) and _are_ids(one.get("notes")) and _are_ids(one.get("seen")) for one in was
    )


def _are_ids(value: object) -> bool:
    return isinstance(value, list) and all(isinstance(note, str) for note in value)


def _dangers(record: dict[str, Any]) -> tuple[str, ...]:
    danger = record.get("danger") or ()
    return tuple(danger) if isinstance(danger, (list, tuple)) else (danger,)


def _are_steps(steps: object) -> bool:
    return isinstance(steps, dict) and all(
        isinstance(numbers, list) and all(type(n) is int and 1 <= n <= _MOST_STEPS for n in numbers)
        for numbers in steps.values()
    )


def _is_turn(turn: object) -> bool:
    return (
        isinstance(turn, dict)
        and isinstance(turn.get("question"), str)
        and isinstance(turn.get("notes"), list)
        and turn.get("about") in ABOUTS
        and _is_since(turn)
        and _are_earlier(turn.get("was", []))
    )
