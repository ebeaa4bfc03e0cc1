"""Made-up shops, so that every screen and report has something to show."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Generic, TypeVar, cast

from assistant.errors import UsageError
from assistant.journal.records import KINDS, OutcomeName, Question, Record, Work
from assistant.journal.store import Journal, stamp
from assistant.model import Branch, Note, Step, Trade
from assistant.visiting.demo_words import CASES, THEMES, Case, Theme
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import Walk, acknowledge, choices, pending, skip, tick, wait

__all__ = ["fill_demo"]

_DAYS = 120
_SHOPS = 10
_VISITS = 60
_MODELS = ("disc", "pad", "hand", "screen", "vr")
_FAULTY = 0.34
_AWAY = 0.07
"""How often a choice that leads to another note is taken where there is one."""
_LAST_STEP = 3
"""Step at which the last work stands."""
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
_USUAL: dict[str, OutcomeName] = {"replace": "replaced", "withdraw": "withdrawn", "escalate": "escalated"}
_REASONS = ("no spare that fits and the checks are done", "same fault for the third time", "needs a second person")
_REMARKS = (
    "same station as last month, says the manager",
    "staff switch it off at noon",
    "moved next to the tills since the last visit",
)
R = TypeVar("R", bound=Record)
T = TypeVar("T")


class _Clock:
    def __init__(self, start: datetime) -> None:
        self.time = start

    def __call__(self) -> datetime:
        return self.time

    def go(self, minutes: float) -> None:
        """Move on by so many minutes."""
        self.time += timedelta(minutes=minutes)


class _Deck(Generic[T]):
    """Deals each of some things once before it deals any again, in an order by chance."""

    def __init__(self, things: Sequence[T], chance: random.Random) -> None:
        self._things = things
        self._chance = chance
        self._left: list[T] = []

    def deal(self) -> T:
        """Return the next."""
        self._left = self._left or self._chance.sample(self._things, len(self._things))
        return self._left.pop()


class _Scene:
    """Draws visits and records them one after the other."""

    def __init__(self, journal: Journal, notes: Callable[[str], Note | None], seed: int, until: datetime) -> None:
        self._random = random.Random(seed)  # noqa: S311 - made-up data, the same for the same seed
        self._clock = _Clock(until - timedelta(days=_DAYS))
        self._until = until
        self._journal = journal
        self._recorder = Recorder(journal, Trade(stations={model: model for model in _MODELS}), clock=self._clock)
        self._notes = notes
        self._shops = {f"S-{n:03}": self._stations(n) for n in range(1, _SHOPS + 1)}
        self._shop = _Deck(sorted(self._shops), self._random)
        self._outcomes = _Deck(_OUTCOMES, self._random)
        self._weak: dict[str, Case] = {}
        self._breaks_off = False

    def _stations(self, shop: int) -> list[tuple[str, str]]:
        count = self._random.randint(4, 8)
        return [(f"A-{100 * shop + n:04}", self._random.choice(_MODELS)) for n in range(1, count + 1)]

    def _asked_in_vain(self) -> list[list[tuple[Theme, list[str]]]]:
        """Return what is asked in vain at each visit: each theme at four to eight, in two wordings at every third."""
        plan: list[list[tuple[Theme, list[str]]]] = [[] for _ in range(_VISITS)]
        for theme in THEMES:
            wording = _Deck(theme.wordings, self._random)
            for place, visit in enumerate(self._random.sample(range(_VISITS), self._random.randint(4, 8))):
                plan[visit].append((theme, [wording.deal() for _ in range(1 if place % 3 else 2)]))
        return plan

    def play(self) -> None:
        """Record all visits; the last one stays open, with a work in the middle of a step."""
        plan = self._asked_in_vain()
        shops = [self._shop.deal() for _ in plan]
        for number, (store, in_vain) in enumerate(zip(shops, plan, strict=True)):
            start = self._until - timedelta(days=_DAYS * (1 - number / _VISITS))
            self._clock.time = start.replace(hour=9, minute=self._random.randint(0, 59))
            self._breaks_off = self._breaks_off or number == _VISITS - 8
            self._visit(store, ("", "area rep", "stand-in rep")[number % 3], in_vain)
        self._clock.time = self._until - timedelta(minutes=40)
        self._last_visit("S-001")

    def _visit(self, store: str, rep: str, in_vain: list[tuple[Theme, list[str]]]) -> None:
        self._recorder.open_visit(store, rep)
        self._clock.go(4)
        for station, model in self._shops[store]:
            self._clock.go(self._random.uniform(1, 4))
            self._station(station, model)
        for theme, wordings in in_vain:
            self._ask_in_vain(theme, wordings)
        self._clock.go(5)
        self._recorder.close_visit(self._random.choice(("", "", "row is tidy", "manager was not in")))

    def _station(self, station: str, model: str) -> None:
        if self._random.random() > _FAULTY:
            self._recorder.see(station, "pass", model=model)
            return
        case = self._case(station, model)
        note = self._notes(case.note)
        if note is None:
            self._recorder.see(station, "fault", model=model, condition=case.condition)
            return
        self._recorder.see(station, "fault", model=model, condition=case.condition, note=case.note)
        self._ask(case, note)
        if self._random.random() < 0.9:
            self._work(note, station, case.condition)
        if self._random.random() < 0.2:
            self._recorder.photo(
                f"{station.lower()}-{self._clock.time:%m%d}.jpg", station=station, shows=case.condition
            )
        if self._random.random() < 0.12:
            self._recorder.remark(self._random.choice(_REMARKS), station=station)

    def _case(self, station: str, model: str) -> Case:
        """Return the fault that this station has again, or a new one."""
        if station in self._weak and self._random.random() < 0.4:
            return self._weak[station]
        fitting = [case for case in CASES if case.model == model]
        self._weak[station] = self._random.choice(fitting)
        return self._weak[station]

    def _ask(self, case: Case, note: Note) -> None:
        """Ask about a fault, at times in too few words first, and at times go on to ask for the parts."""
        words = case.condition.split()
        if len(words) > 3 and self._random.random() < 0.08:
            longest = sorted(words, key=len)[-2:]
            self._question(" ".join(word for word in words if word in longest), "none")
        sure = self._random.random() < 0.85
        near = note.see_also[:3]
        if sure:
            asked = self._question(case.condition, "answer", note.id, near)
        else:
            asked = self._question(case.condition, "choose", options=(note.id, *near))
        judged = self._random.random()
        if judged < 0.15:
            self._recorder.judge(asked, "helpful")
        elif judged > 0.96:
            self._recorder.judge(asked, "not_helpful", "the station here looks different")
        if sure and self._random.random() < 0.12:
            self._question("which parts do I need", "answer", note.id, near, about="parts")

    def _ask_in_vain(self, theme: Theme, wordings: list[str]) -> None:
        for text in wordings:
            if self._random.random() < 0.75:
                self._question(text, "none", options=(theme.nearest,))
            else:
                asked = self._question(text, "answer", theme.nearest)
                self._recorder.judge(asked, "not_helpful", "not what I asked")

    def _question(
        self, text: str, decision: str, note: str = "", options: Sequence[str] = (), *, about: str = "procedure"
    ) -> Question:
        confidence = self._random.uniform(0.02, 0.3) if decision == "none" else self._random.uniform(0.5, 0.99)
        visit = self._recorder.visit
        question = Question(
            text,
            decision,
            about,
            note,
            " ".join(options),
            read_as=text,
            confidence=round(confidence, 3),
            pack="demo",
            visit=visit.id if visit else None,
        )
        kept = self._add(question)
        self._clock.go(0.6)
        return kept

    def _add(self, record: R) -> R:
        return self._journal.add(cast("R", record._replace(at=stamp(self._clock()))))

    def _work(self, note: Note, station: str, condition: str, parent: int | None = None) -> OutcomeName | None:
        """Work through a note, and through another where a choice or its end leads on; None where it is broken off."""
        work = self._recorder.begin(note, station=station, condition=condition, parent=parent)
        walk = self._recorder.walk_of(work, note)
        while not walk.finished:
            if self._breaks_off and parent is None and walk.step > 1:
                self._breaks_off = False
                self._recorder.remark("shop closes, goes on at the next visit", work=work)
                return None
            walk = self._act(walk, self._choice(walk, away=parent is None))
            if parent is None and walk.leads_to and not walk.leaves:
                self._on_the_way(walk, work)
                walk = walk._replace(leads_to="")
        target = self._notes(walk.leads_to) if parent is None and walk.leaves else None
        if target is None:
            return self._end(work, note)
        self._recorder.end(work, "led_on")
        return self._work(target, station, condition, parent=work.id)

    def _on_the_way(self, walk: Walk, work: Work) -> None:
        """Do the note that a choice names before the work goes on."""
        note = self._notes(walk.leads_to)
        if note is None:
            return
        begun = self._recorder.begin(note, station=work.station, condition=work.condition, parent=work.id)
        inner = self._recorder.walk_of(begun, note)
        while not inner.finished:
            inner = self._act(inner, self._choice(inner, away=False))
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

    def _act(self, walk: Walk, choice: int | None) -> Walk:
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
            return self._recorder.act(walk, skip(walk, self._random.choice(("no spare here", "done by the store"))))
        return self._recorder.act(walk, tick(walk, choice, seconds=self._random.randint(10, 90)))

    def _end(self, work: Work, note: Note) -> OutcomeName:
        outcome = self._outcomes.deal() or _USUAL.get(note.action, "mended")
        if outcome == "escalated":
            self._recorder.escalate(
                self._random.choice(_REASONS),
                job=f"J-{self._random.randint(1000, 9999)}" if self._random.random() < 0.8 else "",
                contact=self._random.choice(("desk, early shift", "desk, late shift")),
                due=f"{self._clock.time + timedelta(days=5):%Y-%m-%d}",
                work=work,
            )
        for part in note.parts[:1]:
            if outcome == "replaced":
                self._recorder.part(part, "used", work=work)
            elif outcome in {"not_mended", "escalated"} and self._random.random() < 0.5:
                self._recorder.part(part, "wanted", quantity=self._random.randint(1, 2), work=work)
        if outcome == "withdrawn":
            self._recorder.remark("out-of-order sign hung on the station", work=work)
        self._recorder.end(work, outcome)
        on = next((found for target in note.on_failure if (found := self._notes(target))), None)
        if outcome == "not_mended" and on and work.parent is None:
            self._work(on, work.station, work.condition, parent=work.id)
        return outcome

    def _last_visit(self, store: str) -> None:
        self._recorder.open_visit(store, "area rep")
        (first, kind), *others = self._shops[store]
        self._clock.go(2)
        self._recorder.see(first, "pass", model=kind)
        found = next(
            (
                (station, case, note)
                for station, model in others
                for case in CASES
                if case.model == model and (note := self._notes(case.note)) and _suits_the_last(note)
            ),
            None,
        )
        if found is None:
            return
        station, case, note = found
        self._recorder.see(station, "fault", model=case.model, condition=case.condition, note=note.id)
        self._ask(case, note)
        walk = self._recorder.walk_of(self._recorder.begin(note, station=station, condition=case.condition), note)
        while walk.step < _LAST_STEP or pending(walk):
            walk = self._act(walk, _straight_on(walk.current) if walk.current else None)


def _straight_on(step: Step) -> int | None:
    """Return the choice under a step that leads to the next step; None where there is none."""
    return next((n for n, b in enumerate(choices(step)) if b.step == step.n + 1 and not b.note), None)


def _suits_the_last(note: Note) -> bool:
    """Tell whether a note warns, and its first steps can be done one after the other without long waits."""
    first = note.steps[: _LAST_STEP - 1]
    plain = all(not waiting_seconds(s.text) and (not s.branches or _straight_on(s) is not None) for s in first)
    return plain and bool(note.safety) and len(note.steps) > _LAST_STEP


def _ahead(branch: Branch, step: int) -> bool:
    return branch.step > step if branch.step else branch.note is None


def fill_demo(journal: Journal, notes: Callable[[str], Note | None], *, until: datetime, seed: int = 1) -> None:
    """Fill an empty journal with made-up visits of the days up to ``until``; the same for the same seed.

    Parameters
    ----------
    notes
        Returns a note by its id; faults without one are recorded as seen only.

    Raises
    ------
    UsageError
        If the journal holds anything.
    """
    if any(journal.all(kind) for kind in KINDS):
        raise UsageError(f"{journal.path}: holds records; made-up ones go into an empty journal, such as --home DIR")
    _Scene(journal, notes, seed, until).play()
