"""How the reps of made-up shops work through notes."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Generic, TypeVar

from assistant.journal.records import OutcomeName, Work
from assistant.languages import said
from assistant.model import Branch, Note, Step
from assistant.visiting.demo_words import REASONS, SKIPPED, TAKEN_BY, as_told
from assistant.visiting.entries import Handed, end_work
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import Walk, acknowledge, choices, pending, skip, tick, wait

__all__ = ["Clock", "Deck", "Worker", "straight_on"]

_AWAY = 0.07
"""How often a choice that leads to another note is taken where there is one."""
_RARE: tuple[OutcomeName, ...] = (
    "not_mended",
    "not_mended",
    "not_mended",
    "escalated",
    "escalated",
    "withdrawn",
    "withdrawn",
)
_OUTCOMES: tuple[OutcomeName | None, ...] = (*[None] * 12, *_RARE)
"""How nineteen works end; None as the action of the note has it."""
_PLAYS_AGAIN = frozenset({"mended", "replaced"})
_USUAL: dict[str, OutcomeName] = {"replace": "replaced", "withdraw": "withdrawn", "escalate": "escalated"}
T = TypeVar("T")


class Clock:
    """Tells a time that moves when it is told to."""

    def __init__(self, start: datetime) -> None:
        self.time = start

    def __call__(self) -> datetime:
        """Return the time."""
        return self.time

    def go(self, minutes: float) -> None:
        """Move on by so many minutes."""
        self.time += timedelta(minutes=minutes)


class Deck(Generic[T]):
    """Deals each of some things once before it deals any again, in an order by chance."""

    def __init__(self, things: Sequence[T], chance: random.Random) -> None:
        self._things = things
        self._chance = chance
        self._left: list[T] = []

    def deal(self) -> T:
        """Return the next."""
        self._left = self._left or self._chance.sample(self._things, len(self._things))
        return self._left.pop()


class Worker:
    """Draws what is done in works, and records it.

    Set ``breaks_off`` to let the next work that can be broken off stay in its middle.
    """

    def __init__(
        self, recorder: Recorder, notes: Callable[[str], Note | None], clock: Clock, chance: random.Random
    ) -> None:
        self.breaks_off = False
        self._recorder = recorder
        self._notes = notes
        self._clock = clock
        self._random = chance
        self._outcomes = Deck(_OUTCOMES, chance)
        self._units = 0

    def number(self, letter: str) -> str:
        """Return a number that the support desk may have given."""
        return f"{letter}-{self._random.randint(1000, 9999)}"

    def work(self, note: Note, station: str, condition: str, parent: int | None = None) -> OutcomeName | None:
        """Work through a note, and through another where a choice or its end leads on; None where it is broken off."""
        if parent is None:
            work = self._recorder.take_up(note, station=station, condition=condition)
        else:
            work = self._recorder.begin(note, station=station, condition=condition, parent=parent)
        walk = self._recorder.walk_of(work, note)
        while not walk.finished:
            if self.breaks_off and parent is None and walk.step > 1:
                self.breaks_off = False
                self._recorder.remark(said("shop closes, goes on at the next visit"), work=work)
                return None
            walk = self.act(walk, self._choice(walk, away=parent is None))
            if parent is None and walk.leads_to and not walk.leaves:
                self._on_the_way(walk, work)
                walk = walk._replace(leads_to="")
        target = self._notes(walk.leads_to) if parent is None and walk.leaves else None
        if target is None:
            return self._end(work, note)
        self._recorder.end(work, "led_on")
        return self.work(target, station, condition, parent=work.id)

    def _on_the_way(self, walk: Walk, work: Work) -> None:
        """Do the note that a choice names before the work goes on."""
        note = self._notes(walk.leads_to)
        if note is None:
            return
        begun = self._recorder.begin(note, station=work.station, condition=work.condition, parent=work.id)
        inner = self._recorder.walk_of(begun, note)
        while not inner.finished:
            inner = self.act(inner, self._choice(inner, away=False))
        self._recorder.end(begun, "done")

    def _choice(self, walk: Walk, *, away: bool) -> int | None:
        """Return a choice under the next step: one that leads ahead, or, now and then, to another note."""
        offered = choices(walk.current) if walk.current else ()
        if not offered:
            return None
        ahead = [place for place, branch in enumerate(offered) if _ahead(branch, walk.step)]
        others = [place for place, b in enumerate(offered) if b.note and b.step is None and self._notes(b.note)]
        if others and away and self._random.random() < _AWAY:
            return self._random.choice(others)
        return self._random.choice(ahead or range(len(offered)))

    def act(self, walk: Walk, choice: int | None) -> Walk:
        """Do the next thing of a work: read a message, wait, skip or tick."""
        step = walk.current
        if step is None:
            return walk
        if pending(walk):
            self._clock.go(0.2)
            return self._recorder.act(walk, acknowledge(walk))
        self._clock.go(walk.note.minutes / len(walk.note.steps) * self._random.uniform(0.5, 1.7))
        seconds = waiting_seconds(step.text)
        if seconds and not walk.waiting:
            walk = self._recorder.act(walk, wait(walk, seconds))
            self._clock.go(seconds / 60)
        if self._random.random() < 0.03:
            return self._recorder.act(walk, skip(walk, self._random.choice(as_told(SKIPPED))))
        return self._recorder.act(walk, tick(walk, choice, seconds=self._random.randint(10, 90)))

    def _end(self, work: Work, note: Note) -> OutcomeName:
        outcome = self._outcomes.deal() or _USUAL.get(note.action, "mended")
        out = self._recorder.grave(work) or self._recorder.out_of_service(work.station, work)
        if outcome in _PLAYS_AGAIN and out:
            outcome = "withdrawn"
        for part in note.parts[:1]:
            if outcome == "replaced":
                self._recorder.part(part, "used", work=work)
                self._swap(part, work)
            elif outcome in {"not_mended", "escalated"} and self._random.random() < 0.5:
                self._recorder.part(part, "wanted", quantity=self._random.randint(1, 2), work=work)
        handed = None
        if outcome == "escalated" or (outcome == "withdrawn" and self._random.random() < 0.8):
            number = self.number("J") if self._random.random() < 0.8 else ""
            handed = Handed(
                self._random.choice(as_told(REASONS)),
                number,
                self._random.choice(as_told(TAKEN_BY)),
                f"in {self._random.randint(3, 9)} days",
            )
        if outcome == "withdrawn":
            self._recorder.remark(said("a sign at the station says that it is out of order"), work=work)
        end_work(self._recorder, work, outcome, handed=handed)
        on = next((found for target in note.on_failure if (found := self._notes(target))), None)
        if outcome == "not_mended" and on and work.parent is None:
            self.work(on, work.station, work.condition, parent=work.id)
        return outcome

    def _swap(self, unit: str, work: Work) -> None:
        """Record the numbers of every third unit that was exchanged."""
        self._units += 1
        if self._units % 3 == 1:
            old, new = f"U-{100 + self._units}", f"U-{600 + self._units}"
            self._recorder.swap(work.station, unit, taken_out=old, put_in=new, work=work)


def straight_on(step: Step) -> int | None:
    """Return the choice under a step that leads to the next step; None where there is none."""
    return next((n for n, b in enumerate(choices(step)) if b.step == step.n + 1 and not b.note), None)


def _ahead(branch: Branch, step: int) -> bool:
    return branch.step > step if branch.step else branch.note is None
