"""What reps of made-up shops say: faults that notes are there for, matters that they ask about in vain, the rest."""

from __future__ import annotations

import json
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import NamedTuple

from assistant.languages import DEFAULT, said, spoken, to_say
from assistant.model import ANY_STATION, ON_SAFETY, Note

__all__ = [
    "ALLOWED_BY",
    "CLOSING_REMARKS",
    "NEAR_MISSES",
    "REASONS",
    "REMARKS",
    "REPS",
    "SKIPPED",
    "SWITCHED_OFF",
    "TAKEN_BY",
    "Case",
    "Scenes",
    "Theme",
    "as_told",
    "scenes_of",
    "shipped_scenes",
]

_NO_FAULT = frozenset({"inform", "withdraw", "escalate"})
"""Actions of notes that tell of no fault by themselves."""
ALLOWED_BY = (to_say("duty manager"), to_say("deputy of the duty manager"), to_say("head of the floor"))
"""Who of a store gives permission."""
TAKEN_BY = (to_say("desk, early shift"), to_say("desk, late shift"))
"""Who takes a fault over."""
REASONS = (
    to_say("no spare that fits and the checks are done"),
    to_say("same fault for the third time"),
    to_say("needs a second person"),
)
"""Why a fault is handed over."""
REMARKS = (
    to_say("same station as last month, says the manager"),
    to_say("staff switch it off at noon"),
    to_say("moved next to the tills since the last visit"),
)
SKIPPED = (to_say("no spare here"), to_say("done by the store"))
"""Why a step is skipped."""
SWITCHED_OFF = (to_say("too loud for the tills"), to_say("children queued into the aisle"))
"""Why the staff had switched a station off."""
NEAR_MISSES = (
    to_say("a child tripped over a lead, not hurt"),
    to_say("a panel slipped and was caught"),
    to_say("wet floor by the station"),
)
CLOSING_REMARKS = ("", "", to_say("row is tidy"), to_say("manager was not in"))
REPS = ("", to_say("area rep"), to_say("stand-in rep"))
"""Who visits; in some visits nobody said."""


def as_told(words: Iterable[str]) -> tuple[str, ...]:
    """Return what reps say in the language that is spoken."""
    return tuple(said(text) if text else "" for text in words)


class Case(NamedTuple):
    """A fault in a rep's words, the kind of station and the note for it."""

    note: str
    model: str
    condition: str


class Theme(NamedTuple):
    """One matter in several wordings, and the note that comes nearest and does not help."""

    nearest: str
    wordings: tuple[str, ...]


class Scenes(NamedTuple):
    """Faults as reps would tell them, and what several shops ask about in vain."""

    cases: tuple[Case, ...]
    themes: tuple[Theme, ...] = ()


@cache
def shipped_scenes() -> Scenes:
    """Return what reps say of the notes that ship (``demo.json`` beside this module)."""
    data = json.loads(Path(__file__).with_name("demo.json").read_text("utf-8"))
    themes = (Theme(nearest, tuple(wordings)) for nearest, wordings in data["themes"])
    return Scenes(tuple(Case(*case) for case in data["cases"]), tuple(themes))


def scenes_of(notes: Iterable[Note]) -> Scenes:
    """Return what reps may say of any notes: the title of each that has something done at a kind of station."""
    return Scenes(
        tuple(
            Case(
                note.id,
                next((kind for kind in note.station if kind != ANY_STATION), ANY_STATION),
                _in_passing(note.title),
            )
            for note in notes
            if note.action not in _NO_FAULT and not note.id.startswith(ON_SAFETY)
        )
    )


def _in_passing(title: str) -> str:
    """Return a title as a rep types it: in small letters, but where nouns have capitals."""
    return title.lower() if spoken() == DEFAULT else title
