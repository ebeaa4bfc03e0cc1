"""A new note as a complete, valid skeleton, with its phrases and example questions."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from assistant.analysis.tokens import printable
from assistant.errors import NotesError, UsageError
from assistant.model import Phrases, Trade
from assistant.notes.corpus import parse_corpus
from assistant.notes.phrases import phrases_path, phrases_text
from assistant.notes.reader import read_note
from assistant.notes.text import forbidden_characters
from assistant.notes.trade import TRADE
from assistant.notes.writing import put_back, write_whole

__all__ = [
    "FIELDS",
    "Draft",
    "begin_trade",
    "draft_of",
    "example_line",
    "new_note",
    "note_text",
    "question_of",
    "stand_in",
    "take_answer",
]

_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)+")
_MOST_TITLE_WORDS = 9
_MOST_MINUTES = 90
_MAY_BE_EMPTY = ("things", "troubles")
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


def _id(text: str, trade: Trade) -> str:
    if not _ID.fullmatch(text):
        raise UsageError(f"an id reads area-what, in small letters and digits, such as {next(iter(trade.areas))}-what")
    if (area := text.partition("-")[0]) not in trade.areas:
        raise UsageError(f"the area '{area}' is none of {', '.join(trade.areas)}; {TRADE} names them")
    return text


def _title(text: str, _: Trade) -> str:
    if not text or text.endswith(".") or len(text.split()) > _MOST_TITLE_WORDS:
        raise UsageError(f"a title is the condition in a rep's words: up to {_MOST_TITLE_WORDS}, no full stop")
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
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text[:9]) <= _MOST_MINUTES:
        raise UsageError(f"minutes must be a whole number from 1 to {_MOST_MINUTES}")
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


def begin_trade(root: Path) -> bool:
    """Write a small trade to begin with where the folder has none, and tell whether it did.

    Raises
    ------
    NotesError
        If it cannot be written.
    """
    path = root / TRADE
    if path.exists() or path.is_symlink():
        return False
    write_whole(path, Path(__file__).with_name("starter_trade.yaml").read_text("utf-8"))
    return True


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


def note_text(draft: Draft, today: date) -> str:
    """Return a note that is valid as it stands; what is still to be written is marked so, and the check finds it."""
    return f"""---
id: {draft.id}
title: {draft.title}
station: [{", ".join(draft.station)}]
action: {draft.action}
minutes: {draft.minutes}
tools: []
parts: []
see_also: []
revision: 1
reviewed: {today.isoformat()}
sources: [common practice]
hazards: []
---

## Condition

The rep sees, hears or smells this (to write). This tells it from its neighbours (to write).

## Cause

- The likeliest cause (to write).

## Before you start

- What to have or to do first (to write).

## Steps

1. Do the first thing (to write).
2. Do the second thing (to write).
3. Test the station with the demo (to write).

## Result

The station shows this when it is mended (to write).

## If it still fails

Call the support desk (to write).

## Why

The reason behind the rule (to write). What happens otherwise (to write).
"""


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
    area = draft.id.partition("-")[0]
    path = root / area / f"{draft.id}.md"
    asked, phrases = path.with_suffix(".questions.txt"), phrases_path(path)
    for file in (path, asked, phrases):
        if file.exists() or file.is_symlink():
            raise UsageError(f"{file}: is there already")
    text = note_text(draft, today)
    try:
        note = read_note(text, f"{area}/{draft.id}.md")
    except NotesError as error:
        raise UsageError("; ".join(fault.message for fault in error.faults)) from error
    if note.title != draft.title:
        raise UsageError(f"the title would be read as '{note.title}': leave out the signs of YAML, such as #")
    lines = [f"# {draft.title}: questions that reps ask", *filter(None, map(example_line, questions))]
    said = Phrases(draft.things, draft.troubles, (draft.title.lower(),))
    path.parent.mkdir(parents=True, exist_ok=True)
    with put_back(path, asked, phrases):
        write_whole(asked, "\n".join(lines) + "\n")
        write_whole(phrases, f"# {draft.title}: what people call it, what they say of it\n{phrases_text(said)}")
        write_whole(path, text)
        own = [fault for fault in parse_corpus(root).faults if fault.path.startswith(f"{area}/{draft.id}.")]
        if own:
            raise NotesError(own)
    return path
