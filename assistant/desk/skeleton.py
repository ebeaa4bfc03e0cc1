"""A new note as a complete, valid skeleton, with its phrases and example questions."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from assistant.analysis.tokens import printable
from assistant.errors import NotesError, UsageError
from assistant.model import Phrases, Trade
from assistant.notes.corpus import parse_corpus
from assistant.notes.drafts import DRAFT, TO_WRITE
from assistant.notes.front_matter import MOST_MINUTES
from assistant.notes.phrases import phrases_path, phrases_text
from assistant.notes.reader import SECTIONS, read_note
from assistant.notes.text import forbidden_characters
from assistant.notes.trade import TRADE
from assistant.notes.writing import put_back, write_whole
from assistant.notes.yaml_text import BadYamlError, parsed

__all__ = [
    "FIELDS",
    "TO_WRITE",
    "Content",
    "Draft",
    "NewNote",
    "draft_of",
    "example_line",
    "new_note",
    "new_notes",
    "note_text",
    "question_of",
    "stand_in",
    "take_answer",
]

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")
_MOST_TITLE_WORDS = 9
_MAY_BE_EMPTY = ("things", "troubles")
_ITEM = re.compile(r"- |\d+\. ")
_MARKS = "#[ "
"""What begins a comment or names steps, however often and with whatever blanks between."""


class Draft(NamedTuple):
    """What a new note needs to be given."""

    id: str
    title: str
    station: tuple[str, ...]
    action: str
    minutes: int
    things: tuple[str, ...] = ()
    troubles: tuple[str, ...] = ()


class Content(NamedTuple):
    """Paragraphs, list items and steps of a note in Markdown; a section without any is left to be written.

    ``tools`` and ``parts`` are names, ``unsure`` the fields of the front matter that nobody gave.
    """

    condition: tuple[str, ...] = ()
    cause: tuple[str, ...] = ()
    before: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    result: tuple[str, ...] = ()
    fails: tuple[str, ...] = ()
    why: tuple[str, ...] = ()
    tools: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    unsure: frozenset[str] = frozenset()


_LEFT = Content(
    condition=(f"The rep sees, hears or smells this {TO_WRITE}. This tells it from what looks alike {TO_WRITE}.",),
    cause=(f"- The likeliest cause {TO_WRITE}.",),
    before=(f"- What to have or to do first {TO_WRITE}.",),
    steps=(
        f"1. Do the first thing {TO_WRITE}.",
        f"2. Do the second thing {TO_WRITE}.",
        f"3. Test what was done {TO_WRITE}.",
    ),
    result=(f"This is seen when it is mended {TO_WRITE}.",),
    fails=(f"Say whom to call, or which note to go to {TO_WRITE}.",),
    why=(f"The reason behind the rule {TO_WRITE}. What happens otherwise {TO_WRITE}.",),
)
_HEADINGS = dict(zip(("condition", "cause", "before", "steps", "result", "fails", "why"), SECTIONS, strict=True))


class NewNote(NamedTuple):
    """A note to be written, with what is known of it and its example questions."""

    draft: Draft
    content: Content = Content()
    questions: tuple[str, ...] = ()


def _id(text: str, trade: Trade) -> str:
    if not _ID.fullmatch(text):
        raise UsageError(f"an id reads area-what, in small letters and digits, such as {next(iter(trade.areas))}-what")
    if (area := text.partition("-")[0]) not in trade.areas:
        raise UsageError(f"the area '{area}' is none of {', '.join(trade.areas)}; {TRADE} names them")
    return text


def _title(text: str, _: Trade) -> str:
    if not text or text.endswith(".") or len(text.split()) > _MOST_TITLE_WORDS:
        raise UsageError(f"a title is the condition in a rep's words: up to {_MOST_TITLE_WORDS}, no full stop")
    if _scalar(text) != text:
        raise UsageError(f"the title '{text}' would be read as something else: leave out the signs of YAML, such as #")
    return text


def _station(text: str, trade: Trade) -> tuple[str, ...]:
    kinds = tuple(kind.strip() for kind in text.split(","))
    if any(kind not in trade.stations for kind in kinds):
        raise UsageError(f"station must be one or more of {', '.join(trade.stations)}, with commas")
    return kinds


def _action(text: str, trade: Trade) -> str:
    if text not in trade.actions:
        raise UsageError(f"action must be one of {', '.join(trade.actions)}")
    return text


def _minutes(text: str, _: Trade) -> int:
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text[:9]) <= MOST_MINUTES:
        raise UsageError(f"minutes must be a whole number from 1 to {MOST_MINUTES}")
    return int(text)


def _phrases(text: str, _: Trade) -> tuple[str, ...]:
    return tuple(dict.fromkeys(filter(None, map(example_line, text.split(",")))))


_ASKED: Mapping[str, tuple[str, Callable[[str, Trade], object]]] = {
    "id": ("id, area first ({areas})", _id),
    "title": ("title, the condition in a rep's words", _title),
    "station": ("kinds of station, with commas ({stations})", _station),
    "action": ("action ({actions})", _action),
    "minutes": ("minutes for a trained rep", _minutes),
    "things": ("what people call the thing, with commas; may be empty", _phrases),
    "troubles": ("what they say of it, such as came off, with commas; may be empty", _phrases),
}
FIELDS = tuple(_ASKED)
"""What is asked for, in this order."""


def question_of(field: str, trade: Trade) -> str:
    """Return what to ask for one field."""
    keyed = {"areas": trade.areas, "stations": trade.stations, "actions": trade.actions}
    return _ASKED[field][0].format(**{name: ", ".join(keys) for name, keys in keyed.items()})


def take_answer(field: str, text: str, trade: Trade) -> None:
    """Raise `UsageError` where an answer to one field will not do."""
    _ASKED[field][1](text, trade)


def stand_in(trade: Trade) -> dict[str, str]:
    """Return answers that will do, where a field was not asked for yet."""
    area, station, action = (next(iter(keys)) for keys in (trade.areas, trade.stations, trade.actions))
    return {"id": f"{area}-new-note", "title": "New note", "station": station, "action": action, "minutes": "1"}


def draft_of(answers: Mapping[str, str], trade: Trade) -> Draft:
    """Return the draft that the answers make.

    Raises
    ------
    UsageError
        If an answer is missing or will not do.
    """
    missing = [field for field in FIELDS if field not in answers and field not in _MAY_BE_EMPTY]
    if missing:
        raise UsageError(f"a new note needs {', '.join(missing)}")
    return Draft(
        _id(printable(answers["id"]).strip(), trade),
        _title(printable(answers["title"]).strip(), trade),
        _station(answers["station"], trade),
        _action(answers["action"].strip(), trade),
        _minutes(answers["minutes"].strip(), trade),
        *(_phrases(answers.get(field, ""), trade) for field in _MAY_BE_EMPTY),
    )


def note_text(draft: Draft, today: date, content: Content = _LEFT) -> str:
    """Return a note that is valid as it stands; what is still to be written is marked so, and the check finds it."""
    marks = dict.fromkeys(content.unsure, f"  # {TO_WRITE}")
    signed = "safety_review: unsigned\n" if any(step.startswith(">") for step in content.steps) else ""
    front = f"""---
id: {draft.id}
title: {_scalar(draft.title)}
station: [{", ".join(draft.station)}]{marks.get("station", "")}
action: {draft.action}{marks.get("action", "")}
minutes: {draft.minutes}{marks.get("minutes", "")}
tools: [{", ".join(map(_in_list, content.tools))}]
parts: [{", ".join(map(_in_list, content.parts))}]
see_also: []
revision: 1
reviewed: {today.isoformat()}
sources: [common practice]
hazards: []
{signed}status: {DRAFT}
---
"""
    written = ((heading, getattr(content, name) or getattr(_LEFT, name)) for name, heading in _HEADINGS.items())
    return front + "".join(f"\n## {heading}\n\n{_joined(texts)}\n" for heading, texts in written)


def _joined(texts: Iterable[str]) -> str:
    """Return paragraphs with a line between them, items of one list without."""
    text = ""
    before = ""
    for one in texts:
        follows = all(_ITEM.match(each) for each in (before, one))
        before = one
        text += ("\n" if follows else "\n\n" if text else "") + one
    return text


def _scalar(text: str) -> str:
    """Return a text as YAML reads it back: in double quotes where it would be read as something else."""
    try:
        plain = parsed(f"title: {text}").value == {"title": text}
    except BadYamlError:
        plain = False
    return text if plain else json.dumps(text, ensure_ascii=False)


def _in_list(text: str) -> str:
    plain = re.fullmatch(r"[A-Za-z][A-Za-z0-9 -]*", text) and _scalar(text) == text
    return text if plain else json.dumps(text, ensure_ascii=False)


def example_line(text: str) -> str:
    """Return a question as a line beside a note: no comment, no steps named before it, no character that is refused."""
    kept = "".join(c for c in printable(text) if not forbidden_characters(c))
    return " ".join(kept.split()).lstrip(_MARKS)


def new_note(root: Path, draft: Draft, today: date, questions: Sequence[str] = ()) -> Path:
    """Write a new note into its folder, with its phrases and example questions beside it, and return its path.

    Raises
    ------
    UsageError
        If one of the files is there already, or the notes' form does not hold the title.
    NotesError
        If one of them cannot be written, or not be read afterwards; then none is there.
    """
    return new_notes(root, [NewNote(draft, questions=tuple(questions))], today)[0]


def new_notes(root: Path, notes: Sequence[NewNote], today: date) -> list[Path]:
    """Write new notes as `new_note` does, all of them or none, and return their paths."""
    texts: dict[Path, str] = {}
    paths = []
    for note in notes:
        path = root / note.draft.id.partition("-")[0] / f"{note.draft.id}.md"
        paths.append(path)
        texts |= _files(path, note, today)
    for file in texts:
        if file.exists() or file.is_symlink():
            raise UsageError(f"{file}: is there already")
    with put_back(*texts):
        for file, text in texts.items():
            file.parent.mkdir(parents=True, exist_ok=True)
            write_whole(file, text)
        own = {file.relative_to(root).as_posix() for file in texts}
        if faults := [fault for fault in parse_corpus(root).faults if fault.path in own]:
            raise NotesError(faults)
    return paths


def _files(path: Path, note: NewNote, today: date) -> dict[Path, str]:
    """Return the text of each file of a note, the note itself last."""
    draft = note.draft
    text = note_text(draft, today, note.content)
    try:
        read_note(text, f"{path.parent.name}/{path.name}")
    except NotesError as error:
        raise UsageError("; ".join(fault.message for fault in error.faults)) from error
    lines = [f"# {draft.title}: questions that reps ask", *filter(None, map(example_line, note.questions))]
    said = Phrases(draft.things, draft.troubles, (draft.title.lower(),))
    return {
        path.with_suffix(".questions.txt"): "\n".join(lines) + "\n",
        phrases_path(path): f"# {draft.title}: what people call it, what they say of it\n{phrases_text(said)}",
        path: text,
    }
