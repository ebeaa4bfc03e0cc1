"""What a turn is about, and whether it goes on with the note in hand."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import cast

from assistant.analysis.cues import CUE_CLASSES, NEW, cues
from assistant.analysis.tokens import tokenize
from assistant.model import About, Answer
from assistant.pack.reader import Pack

__all__ = ["Conversation", "Turn", "picked_option", "read_turn"]

_ORDINALS = {
    "first": 1,
    "1st": 1,
    "one": 1,
    "second": 2,
    "2nd": 2,
    "two": 2,
    "third": 3,
    "3rd": 3,
    "three": 3,
    "fourth": 4,
    "4th": 4,
    "four": 4,
}
_PICK_FILLER = frozenset("the it is option number no nr one i mean meant that this please ok yes a".split())
_OTHER = frozenset({"other", "another", "different"})
_LAST = frozenset({"last", "bottom"})


@dataclass(frozen=True, slots=True)
class Conversation:
    """What is carried from turn to turn.

    ``note`` is the id of the note in hand, ``step`` the step last named (0: none), ``options`` the ids offered last.
    """

    note: str | None = None
    step: int = 0
    options: tuple[str, ...] = ()

    def after(self, answer: Answer, step: int) -> Conversation:
        """Return the state after an answer was shown."""
        options = tuple(option.id for option in answer.options)
        if answer.note is None:
            return replace(self, options=options if answer.decision == "choose" else ())
        return Conversation(answer.note.id, step, options)


@dataclass(frozen=True, slots=True)
class Turn:
    """``about`` is the likeliest kind of follow-up; ``margin`` how far it stands above a new topic, in hundredths."""

    about: About
    margin: int
    strength: int


def read_turn(text: str, pack: Pack) -> Turn:
    """Classify the turn of phrase by the learned weights of its cues."""
    found = cues(text)
    totals = [0] * len(CUE_CLASSES)
    rows = pack.cue_rows(found)
    for row in rows:
        for i, weight in enumerate(row):
            totals[i] += weight
    ranked = sorted(range(len(CUE_CLASSES) - 1), key=lambda i: (-totals[i], i))
    best = ranked[0]
    count = max(1, len(rows))
    about = cast(About, CUE_CLASSES[best])
    return Turn(
        about,
        (totals[best] - totals[CUE_CLASSES.index(NEW)]) // count,
        (totals[best] - totals[ranked[1]]) // count,
    )


def picked_option(text: str, conversation: Conversation) -> str | None:
    """Return the id of the option that a turn such as ``2`` or ``the other one`` picks, or None."""
    options = conversation.options
    if not options:
        return None
    words = tokenize(text)
    if text.strip() in options:
        return text.strip()
    rest = [word for word in words if word not in _PICK_FILLER or word in _ORDINALS]
    if not words or len(words) > 6:
        return None
    if any(word in _OTHER for word in words) and all(word in _OTHER or word in _PICK_FILLER for word in words):
        others = [option for option in options if option != conversation.note]
        place = 0 if conversation.note else min(1, len(others) - 1)
        return others[place] if others else None
    if any(word in _LAST for word in words) and all(w in _LAST or w in _PICK_FILLER for w in words):
        return options[-1]
    if re.fullmatch(r"\d", "".join(rest)) and 1 <= int(rest[0]) <= len(options):
        return options[int(rest[0]) - 1]
    named = [word for word in rest if word in _ORDINALS and word != "one"] or [w for w in rest if w in _ORDINALS]
    if named and all(word in _ORDINALS for word in rest) and _ORDINALS[named[0]] <= len(options):
        return options[_ORDINALS[named[0]] - 1]
    return None
