"""A scored release as the screen offers it: the figures, the misses of one kind, one miss. Nothing is drawn here."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import partial
from textwrap import shorten
from typing import NamedTuple

from assistant.evaluation.breakdown import area_of, gold_note
from assistant.evaluation.labels import MANNERS, LabelledQuestion
from assistant.evaluation.missing import CAUSES, Miss
from assistant.evaluation.study import Study
from assistant.model import Answer
from assistant.tui.common.asking import Offer
from assistant.tui.common.contracts import Asks
from assistant.tui.common.text import printable
from assistant.tui.desk.at_desk import AtDesk

__all__ = ["CAME", "AtRelease", "Kind"]

_REASONS = {
    "safety": "Safety: lost, or a false alarm",
    "outranked": "Outranked by another note",
    "unknown word": "A word that no note has",
    "below threshold": "Below a bar",
    "offered among options": "The right note only among those offered",
    "too few offered": "Ambiguous, and too few offered",
    "answered without a note": "Uncovered, but answered",
    "offered without a note": "Uncovered, but notes were offered",
}
CAME = {"answer": "answered with", "choose": "offered first", "none": "not answered; nearest"}
"""What was done with a question, in words before the first note."""
_MOST_CHARACTERS = 120


class Kind(NamedTuple):
    """Some of the misses; ``of`` is how many questions of the kind were asked, 0 where that tells nothing."""

    head: str
    name: str
    misses: tuple[Miss, ...]
    of: int = 0


class AtRelease(AtDesk):
    """The figures of a release and the misses behind them.

    Parameters
    ----------
    study
        What was scored.
    asks
        Answers from the pack that was scored.
    """

    def __init__(self, study: Study, asks: Asks) -> None:
        super().__init__()
        self.study = study
        self._asks = asks
        self.kinds = tuple(_kinds(study))
        self.kind: Kind | None = None
        self.answer: Answer | None = None

    @property
    def count(self) -> int:
        """How many misses the kind has."""
        return len(self.kind.misses) if self.kind else 0

    @property
    def miss(self) -> Miss | None:
        """The open miss."""
        return None if self.kind is None or self.opened is None else self.kind.misses[self.opened]

    @property
    def on_top(self) -> bool:
        """Whether the figures are shown."""
        return self.kind is None

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The kinds of misses, or the misses of one kind; nothing where a miss is open."""
        if self.kind is None:
            return tuple(Offer(_kind_line(kind), partial(self._pick_kind, kind)) for kind in self.kinds)
        return super().offers

    def line(self, place: int) -> str:
        """Return question, right note, what came first and why."""
        miss = self.kind.misses[place] if self.kind else self.study.misses[place]
        question = shorten(printable(miss.question.question), _MOST_CHARACTERS, placeholder=" ...")
        why = "; ".join(cause.text for cause in miss.causes)
        return f"{question} | wanted {self.wanted(miss)}; {self.came(miss)}; {why}"

    def wanted(self, miss: Miss, *, titles: bool = False) -> str:
        """Return the right notes of a miss."""
        return " or ".join(self._named(note, titles) for note in miss.question.right_first) or "no note"

    def came(self, miss: Miss, *, titles: bool = False) -> str:
        """Return what was done, and the note that came first."""
        if not miss.shown:
            return "not answered, and no note comes near"
        return f"{CAME[miss.decision]} {self._named(miss.shown[0], titles)}"

    def _named(self, note: str, titles: bool) -> str:
        return f"{self.study.titles.get(note, 'a note that is not here')} ({note})" if titles else note

    def open(self, place: int) -> None:
        """Open a miss, with the answer that the rep sees."""
        if self.kind:
            self.answer, _ = self._asks.ask(self.kind.misses[place].question.question)
            super().open(place)

    def close(self) -> None:
        """Close the miss, or else the kind."""
        if self.opened is not None:
            super().close()
        elif self.kind:
            self.last = self.kinds.index(self.kind) + 1
            self.kind = None

    def _pick_kind(self, kind: Kind) -> None:
        self.kind = kind
        self.start = 0
        self.last = 0


def _kind_line(kind: Kind) -> str:
    return f"{kind.name}: {len(kind.misses)}{f' of {kind.of}' if kind.of else ''}"


def _kinds(study: Study) -> Iterator[Kind]:
    for cause in CAUSES:
        found = tuple(miss for miss in study.misses if any(one.kind == cause for one in miss.causes))
        if found:
            yield Kind("Misses by reason; one may have several", _REASONS[cause], found)
    asked = [outcome.question for outcome in study.report.outcomes]
    manners = Counter(question.manner for question in asked)
    for manner in MANNERS:
        found = tuple(miss for miss in study.misses if miss.question.manner == manner)
        if found:
            yield Kind("Misses by manner of asking", manner.capitalize(), found, manners[manner])
    areas = Counter(map(_area, asked))
    for area in sorted(areas):
        found = tuple(miss for miss in study.misses if _area(miss.question) == area)
        if area and found:
            yield Kind("Misses by area of the right note", area, found, areas[area])


def _area(question: LabelledQuestion) -> str:
    return area_of(gold_note(question))
