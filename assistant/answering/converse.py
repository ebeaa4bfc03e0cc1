"""What a turn asks for, and whether it goes on with the note in hand."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from assistant.analysis.features import word_features
from assistant.analysis.tokens import tokenize
from assistant.answering.decide import MOST_OPTIONS
from assistant.answering.retrieve import Retrieval
from assistant.languages import Language, language_of
from assistant.model import About, Answer
from assistant.pack.format import TURN_CLASSES, TURNS_MODEL
from assistant.pack.reader import Pack
from assistant.ranking.linear import linear_points, quotient, runs_needed, sides_of
from assistant.values import NamedTuple, cast

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__all__ = ["Conversation", "Turn", "leaves", "picked_option", "read_turn"]

_MOST_WORDS = 40
"""Words of a turn that are read; a longer one is a question of its own."""
_FULL = 1000
_MOST_EARLIER = 8


class Conversation(NamedTuple):
    """What is carried from turn to turn.

    ``note`` is the id of the note in hand, ``step`` the step last named (0: none), ``options`` the ids on the last
    card, in its order. ``asked_which`` tells that this card showed no note: the one in hand is then none of those to
    pick from. ``earlier`` are the notes in hand before, the last one last.
    """

    note: str | None = None
    step: int = 0
    options: tuple[str, ...] = ()
    asked_which: bool = False
    earlier: tuple[str, ...] = ()

    def after(self, answer: Answer, step: int) -> Conversation:
        """Return the conversation after ``answer``.

        Without a note in the answer the one in hand stays; where there is none, the first of those to choose from is
        taken up. Small talk leaves all as it was.
        """
        if answer.about == "small_talk":
            return self
        options = tuple(option.id for option in answer.options)
        if answer.note is None:
            likeliest = options[0] if answer.decision == "choose" else None
            return Conversation(self.note or likeliest, self.step, options, bool(options), self.earlier)
        left = (self.note,) if self.note and self.note != answer.note.id else ()
        return Conversation(answer.note.id, step, options, earlier=(*self.earlier, *left)[-_MOST_EARLIER:])

    def back_to(self, answer: Answer) -> Conversation:
        """Return the conversation after a turn back to an earlier note: what came after it is forgotten."""
        note = answer.note.id if answer.note else ""
        return Conversation(note, 0, earlier=self.earlier[: self.earlier.index(note)])

    def others(self, note_id: str) -> tuple[str, ...]:
        """Return what else could be meant once ``note_id`` is picked: the note shown until now, then the options."""
        shown = (self.note,) if self.note and not self.asked_which else ()
        return tuple(other for other in (*shown, *self.options) if other != note_id)[:MOST_OPTIONS]


class Turn(NamedTuple):
    """The likeliest kind of turn.

    ``margin`` is how far it stands over a new topic, in thousandths.
    """

    about: About
    margin: int


_NEW = Turn("procedure", -_FULL)


def read_turn(text: str, pack: Pack) -> Turn:
    """Classify a turn by the linear model of turns; a turn that it cannot read begins a new topic."""
    words = tokenize(text, pack.language)
    if len(words) > _MOST_WORDS:
        return _NEW
    weighed = pack.word_rows(TURNS_MODEL, words)
    needed = runs_needed(words, weighed)
    rows = pack.feature_rows(TURNS_MODEL, dict.fromkeys([*word_features(words), *needed]))
    sides = sides_of(words, rows, weighed, needed)
    if all(side.empty for side in sides):
        return _NEW
    points = linear_points(sides, rows, pack.bias(TURNS_MODEL))
    new = len(TURN_CLASSES) - 1
    best = min((number for number in points if number != new), key=lambda number: (-points[number], number), default=0)
    about = cast("About", TURN_CLASSES[best])
    if about == "next_if_fails" and re.search(pack.language.untried, text, re.IGNORECASE):
        about = "step"
    return Turn(about, points.get(best, 0) - points.get(new, 0))


def leaves(turn: Turn, retrieval: Retrieval, in_hand: int | None, settings: Mapping[str, Any]) -> bool:
    """Tell whether a turn leaves the note in hand, number ``in_hand``, or begins a talk where there is none.

    It does where it reads like a new topic, the more so the further, up to a point, another note stands over the one in
    hand.
    """
    total = retrieval.scores.total
    first = retrieval.scores.order[0] if retrieval.scores.order else None
    if first is None or first == in_hand:
        return turn.margin < int(settings["own_at"])
    lead = total[first] - total.get(in_hand, 0) if in_hand is not None else total[first]
    counted = max(0, min(lead, _FULL))
    return quotient(counted * int(settings["lead_share"]), _FULL) - turn.margin > int(settings["leave_at"])


def picked_option(text: str, conversation: Conversation, language: Language | None = None) -> str | None:
    """Return the id of the option that a turn such as ``2`` or ``the other one`` picks, or None."""
    options = conversation.options
    if not options:
        return None
    language = language or language_of()
    picks, filler = language.picks, language.pick_filler
    words = tokenize(text, language)
    if text.strip() in options:
        return text.strip()
    rest = [word for word in words if word not in filler or word in picks]
    if not words or len(words) > 6:
        return None
    if any(word in language.other for word in words) and all(w in language.other or w in filler for w in words):
        shown = conversation.note and not conversation.asked_which
        return options[0 if shown else min(1, len(options) - 1)]
    if any(word in language.last for word in words) and all(w in language.last or w in filler for w in words):
        return options[-1]
    if re.fullmatch(r"\d", "".join(rest)) and 1 <= int(rest[0]) <= len(options):
        return options[int(rest[0]) - 1]
    return _named(rest, options, language)


def _named(rest: Sequence[str], options: Sequence[str], language: Language) -> str | None:
    picks = language.picks
    named = [word for word in rest if word in picks and word != language.alone] or [w for w in rest if w in picks]
    if named and all(word in picks for word in rest) and picks[named[0]] <= len(options):
        return options[picks[named[0]] - 1]
    return None
