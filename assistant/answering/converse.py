"""What a turn is about, and whether it goes on with the note in hand."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple, cast

from assistant.analysis.cues import CUE_CLASSES, NEW, cues
from assistant.analysis.tokens import tokenize
from assistant.answering.decide import capped, logit
from assistant.answering.retrieve import Retrieval
from assistant.model import About, Answer
from assistant.pack.reader import Pack
from assistant.ranking.score import FULL, NONE, quotient

__all__ = ["TURN_SIGNS", "Conversation", "Turn", "goes_on", "picked_option", "read_turn", "turn_signs"]

TURN_SIGNS = ("margin", "tells", "right", "covered", "same", "share", "few_terms", "strange", "over_none", "foreign")

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
_PICK_FILLER = frozenset("the it is option number no nr one i mean meant that this please ok yes a".split())  # noqa: SIM905
_OTHER = frozenset({"other", "another", "different"})
_LAST = frozenset({"last", "bottom"})


class Conversation(NamedTuple):
    """What is carried from turn to turn.

    ``note`` is the id of the note in hand, ``step`` the step last named (0: none), ``options`` the ids on the last
    card, in its order. ``asked_which`` tells that this card showed no note: the one in hand is then none of those to
    pick from.
    """

    note: str | None = None
    step: int = 0
    options: tuple[str, ...] = ()
    asked_which: bool = False

    def after(self, answer: Answer, step: int) -> Conversation:
        """Return the conversation after ``answer``.

        Without a note in the answer the one in hand stays; where there is none, the first of those to choose from is
        taken up.
        """
        options = tuple(option.id for option in answer.options)
        if answer.note is None:
            likeliest = options[0] if answer.decision == "choose" else None
            return Conversation(self.note or likeliest, self.step, options, asked_which=True)
        return Conversation(answer.note.id, step, options)

    def others(self, note_id: str) -> tuple[str, ...]:
        """Return what else could be meant once ``note_id`` is picked: the note shown until now, then the options."""
        shown = (self.note,) if self.note and not self.asked_which else ()
        return tuple(other for other in (*shown, *self.options) if other != note_id)


class Turn(NamedTuple):
    """The likeliest kind of follow-up.

    ``margin`` is how far it stands above a new topic, in hundredths of a point for each cue of the turn; ``strange``
    the share of its cues that no known turn has, in thousandths. ``tells`` is how far the phrase is one that goes on
    with a note in hand, in thousandths of a logit before its bias; ``usual`` are the words that such phrases use more
    than new topics do.
    """

    about: About
    margin: int
    strange: int = 0
    tells: int = 0
    usual: frozenset[str] = frozenset()


def read_turn(text: str, pack: Pack) -> Turn:
    """Classify the turn of phrase by the learned weights of its cues; cues that no known turn has count as 0."""
    found = tuple(dict.fromkeys(cues(text)))
    rows = pack.cue_rows(found)
    totals = [sum(row[i] for row in rows.values()) for i in range(len(CUE_CLASSES))]
    best = min((i for i, name in enumerate(CUE_CLASSES) if name != NEW), key=lambda i: (-totals[i], i))
    new = CUE_CLASSES.index(NEW)
    margin = totals[best] - totals[new]
    count = len(found)
    return Turn(
        cast(About, CUE_CLASSES[best]),
        quotient(margin, count),
        1000 * (count - len(rows)) // count,
        pack.tells("turn", found),
        frozenset(cue for cue, row in rows.items() if max(w for i, w in enumerate(row) if i != new) > row[new]),
    )


def turn_signs(turn: Turn, retrieval: Retrieval, in_hand: int, settings: Mapping[str, Any]) -> tuple[int, ...]:
    """Return the signs, in thousandths, that tell a turn on the note in hand from a new topic (see `TURN_SIGNS`)."""
    scores = retrieval.scores
    first = scores.order[0] if scores.order else in_hand
    top = scores.total.get(first, 0)
    terms = len(retrieval.terms)
    return (
        10 * turn.margin,
        turn.tells,
        capped(logit(retrieval.features, settings["right"])),
        capped(logit(retrieval.features, settings["covered"])),
        1000 * (first == in_hand),
        scores.total.get(in_hand, 0) * 1000 // top if top else 0,
        1000 // (1 + terms),
        turn.strange,
        quotient(scores.learned.get(in_hand, 0) - scores.learned.get(NONE, 0), 1 + terms),
        _foreign(turn, retrieval, in_hand),
    )


def _foreign(turn: Turn, retrieval: Retrieval, in_hand: int) -> int:
    """Return the share, in thousandths, of the words that neither the note in hand nor usual turns have."""
    asked = [term for term in retrieval.query.terms if term.weight >= FULL // 2]
    held = {term for term, row in retrieval.rows.items() if any(note == in_hand for note, _ in row.learned)}
    strange = [term for term in asked if term.term not in held and term.origin not in turn.usual]
    return 1000 * len(strange) // (1 + len(asked))


def goes_on(turn: Turn, retrieval: Retrieval, in_hand: int, settings: Mapping[str, Any]) -> bool:
    """Tell whether a turn asks about the note in hand, number ``in_hand``."""
    return logit(turn_signs(turn, retrieval, in_hand, settings), settings["turn"]) >= int(settings["turn_at"])


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
        shown = conversation.note and not conversation.asked_which
        return options[0 if shown else min(1, len(options) - 1)]
    if any(word in _LAST for word in words) and all(w in _LAST or w in _PICK_FILLER for w in words):
        return options[-1]
    if re.fullmatch(r"\d", "".join(rest)) and 1 <= int(rest[0]) <= len(options):
        return options[int(rest[0]) - 1]
    named = [word for word in rest if word in _ORDINALS and word != "one"] or [w for w in rest if w in _ORDINALS]
    if named and all(word in _ORDINALS for word in rest) and _ORDINALS[named[0]] <= len(options):
        return options[_ORDINALS[named[0]] - 1]
    return None
