"""Made-up shops, so that every screen and report has something to show."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple, TypeVar, cast

from assistant.errors import UsageError
from assistant.journal.records import KINDS, Feedback, OutcomeName, Question, Record, Work
from assistant.journal.store import Journal, stamp
from assistant.model import Note
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import Walk, acknowledge, choices, leads_on, pending, skip, tick, wait

__all__ = ["CASES", "THEMES", "fill_demo"]

_DAYS = 120
_SHOPS = 10
_VISITS = 60
_MODELS = ("disc", "pad", "hand", "screen", "vr")
_FAULTY = 0.34
R = TypeVar("R", bound=Record)


class Case(NamedTuple):
    """A fault in a rep's words and the note for it."""

    note: str
    model: str
    condition: str


CASES = tuple(
    Case(*line.split("|"))
    for line in """
pad-stick-cap|pad|rubber on the left stick is chewed off
pad-stick-drift|pad|figure walks left on its own
pad-button-sticky|pad|jump button stays down
pad-housing-crack|pad|shell split under the thumb
pad-cable-damage|pad|lead of the pad is bitten through to the copper
pad-plug-bent|pad|plug of the pad is bent
pad-not-detected|pad|console says connect a pad
pad-wireless-pair|pad|cordless pad lost its console
pad-wireless-battery|pad|cordless pad dead by noon
pad-rumble|pad|no shake any more
pad-clean|pad|pad sticky with sweets
pad-tether|pad|strap of the pad cut
disc-unreadable|disc|demo stops at the loading picture
disc-clean|disc|finger marks all over the disc
disc-noise|disc|grinding from the drive
disc-stuck|disc|disc does not come out
disc-lid|disc|lid will not close
disc-missing|disc|case is empty
console-no-power|disc|console dead, display lives
console-overheat|disc|box switches off hot after an hour
console-fan-noise|disc|fan howls
console-freeze|disc|picture stands still in the second level
console-update|disc|asks for an update at every start
console-storage-full|disc|says storage full
hand-not-charging|hand|handheld stays at nine percent
hand-adapter-inspect|hand|adapter of the handheld rattles
hand-buttons|hand|left shoulder button of the handheld is gone
hand-screen-dark|hand|handheld plays sound and no picture
hand-power-intermittent|hand|handheld goes off when the lead moves
hand-tether|hand|holder of the handheld is loose
screen-no-signal|screen|display says no signal
screen-wrong-input|screen|display shows the store channel
screen-flicker|screen|picture flickers every few seconds
screen-dark|screen|picture very dim
screen-clean|screen|hand prints over the whole display
sound-none|screen|no sound from the bar
sound-too-loud|screen|staff complain about the noise
sound-crackle|screen|speaker crackles
vr-hygiene|vr|face cushion is wet
vr-tracking-lost|vr|view drifts in the headset
vr-no-picture|vr|headset stays black
vr-strap|vr|strap of the headset torn
power-strip-dead|screen|whole row is dark
power-cable-route|disc|lead lies across the aisle
cab-panel-loose|disc|side panel rattles
cab-lock-key|disc|key turns and the door stays shut
""".strip().split("\n")
)
"""Faults as reps would tell them."""

THEMES = (
    (
        "the card reader on the station takes no card",
        "card reader dead",
        "card machine at the demo does not read cards",
        "reader for the loyalty card blinks red",
        "card slot reader at the stand is broken",
    ),
    (
        "a foot of the stool fell off",
        "stool wobbles, one foot gone",
        "foot of the stool is loose",
        "stool foot missing",
    ),
    (
        "demo speaks the wrong language",
        "game talks in another language",
        "how do I set the language of the demo back",
        "menu is in a foreign language",
    ),
    (
        "printer for the vouchers jams",
        "voucher printer has no paper",
        "paper jam in the voucher printer",
        "no vouchers come out of the printer",
    ),
)
"""What several shops ask about and no note covers, each in several wordings."""


class _Clock:
    def __init__(self, start: datetime) -> None:
        self.time = start

    def __call__(self) -> datetime:
        return self.time

    def go(self, minutes: float) -> None:
        """Move on by so many minutes."""
        self.time += timedelta(minutes=minutes)


class _Scene:
    """Draws visits and records them one after the other."""

    def __init__(self, journal: Journal, notes: Callable[[str], Note | None], seed: int, until: datetime) -> None:
        self._random = random.Random(seed)  # noqa: S311 - made-up data, the same for the same seed
        self._clock = _Clock(until - timedelta(days=_DAYS))
        self._until = until
        self._journal = journal
        self._recorder = Recorder(journal, clock=self._clock)
        self._notes = notes
        self._shops = {f"S-{n:03}": self._stations(n) for n in range(1, _SHOPS + 1)}
        self._weak: dict[str, Case] = {}
        self._asked = 0

    def _stations(self, shop: int) -> list[tuple[str, str]]:
        count = self._random.randint(4, 8)
        return [(f"A-{100 * shop + n:04}", self._random.choice(_MODELS)) for n in range(1, count + 1)]

    def play(self) -> None:
        """Record all visits; the last one stays open, with a work in the middle of a step."""
        gap = timedelta(days=_DAYS) / _VISITS
        for number in range(_VISITS):
            start = self._until - timedelta(days=_DAYS) + number * gap
            self._clock.time = start.replace(hour=9, minute=self._random.randint(0, 59))
            self._visit(self._random.choice(sorted(self._shops)), f"R{1 + number % 3}")
        self._clock.time = self._until - timedelta(minutes=25)
        self._last_visit("S-001")

    def _visit(self, store: str, rep: str) -> None:
        self._recorder.open_visit(store, rep)
        self._clock.go(4)
        for station, model in self._shops[store]:
            self._clock.go(self._random.uniform(1, 4))
            self._station(station, model)
        if self._random.random() < 0.6:
            self._ask_in_vain()
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
        self._answered(case)
        if self._random.random() < 0.9:
            self._work(note, station, case.condition)
        if self._random.random() < 0.2:
            self._recorder.photo(
                f"{station.lower()}-{self._clock.time:%m%d}.jpg", station=station, shows=case.condition
            )
        if self._random.random() < 0.1:
            self._recorder.remark("same station as last month, says the manager", station=station)

    def _case(self, station: str, model: str) -> Case:
        """Return the fault that this station has again, or a new one."""
        if station in self._weak and self._random.random() < 0.4:
            return self._weak[station]
        fitting = [case for case in CASES if case.model == model]
        self._weak[station] = self._random.choice(fitting)
        return self._weak[station]

    def _answered(self, case: Case) -> None:
        decision = "choose" if self._random.random() < 0.15 else "answer"
        question = Question(
            case.condition,
            decision,
            "procedure",
            case.note if decision == "answer" else "",
            case.note,
            case.condition,
            round(self._random.uniform(0.5, 0.99), 3),
            "demo",
            self._visit_id(),
        )
        kept = self._add(question)
        if self._random.random() < 0.05:
            self._add(Feedback(kept.id, "not_helpful"))
        self._clock.go(0.5)

    def _ask_in_vain(self) -> None:
        theme = THEMES[self._asked % len(THEMES)]
        self._asked += 1
        for text in self._random.sample(theme, self._random.choice((1, 1, 2))):
            self._add(Question(text, "none", "procedure", read_as=text, pack="demo", visit=self._visit_id()))
            self._clock.go(0.7)

    def _add(self, record: R) -> R:
        return self._journal.add(cast("R", record._replace(at=stamp(self._clock()))))

    def _visit_id(self) -> int | None:
        visit = self._recorder.visit
        return visit.id if visit else None

    def _work(self, note: Note, station: str, condition: str, parent: int | None = None) -> None:
        work = self._recorder.begin(note, station=station, condition=condition, parent=parent)
        walk = self._recorder.walk_of(work, note)
        while not walk.finished:
            walk = self._act(walk)
        self._end(work, note, walk)

    def _act(self, walk: Walk) -> Walk:
        """Do the next thing of a work: read a message, wait, skip or tick."""
        self._clock.go(self._random.uniform(0.2, 1.2))
        step = walk.current
        if step is None:
            return walk
        if pending(walk):
            return self._recorder.act(walk, acknowledge(walk))
        seconds = waiting_seconds(step.text)
        if seconds and not walk.waiting:
            walk = self._recorder.act(walk, wait(walk, seconds))
            self._clock.go(seconds / 60)
        if self._random.random() < 0.03:
            return self._recorder.act(walk, skip(walk, self._random.choice(("no spare here", "done by the store"))))
        offered = choices(step)
        ahead = [
            place
            for place, branch in enumerate(offered)
            if branch.note is None and (branch.step is None or branch.step > step.n)
        ]
        chosen = self._random.choice(ahead or range(len(offered))) if offered else None
        return self._recorder.act(walk, tick(walk, chosen, seconds=self._random.randint(10, 90)))

    def _end(self, work: Work, note: Note, walk: Walk) -> None:
        outcome = self._outcome(note)
        on = next((found for target in leads_on(note) if (found := self._notes(target))), None)
        if outcome == "escalated":
            self._recorder.escalate(
                "no spare that fits and the checks are done",
                job=f"J-{self._random.randint(1000, 9999)}" if self._random.random() < 0.8 else "",
                contact=self._random.choice(("desk, early shift", "desk, late shift")),
                due=f"{self._clock.time + timedelta(days=5):%Y-%m-%d}",
                work=work,
            )
        for part in note.parts[:1]:
            if outcome == "replaced":
                self._recorder.part(part, "used", work=work)
            elif outcome in {"not_mended", "escalated"} and self._random.random() < 0.5:
                self._recorder.part(part, "wanted", work=work)
        self._recorder.end(work, outcome)
        if outcome == "not_mended" and on and work.parent is None:
            self._work(on, work.station, work.condition, parent=work.id)

    def _outcome(self, note: Note) -> OutcomeName:
        usual: OutcomeName = "replaced" if note.action == "replace" else "mended"
        if note.action == "withdraw":
            usual = "withdrawn"
        if note.action == "escalate":
            usual = "escalated"
        names: Sequence[OutcomeName] = (usual, "not_mended", "escalated", "withdrawn")
        return self._random.choices(names, weights=(70, 14, 10, 6))[0]

    def _last_visit(self, store: str) -> None:
        self._recorder.open_visit(store, "R1")
        stations = self._shops[store]
        for station, model in stations[:2]:
            self._clock.go(2)
            self._recorder.see(station, "pass", model=model)
        case = next(case for case in CASES if (found := self._notes(case.note)) and found.safety)
        note = self._notes(case.note)
        if note is None:
            return
        station = stations[2][0]
        self._recorder.see(station, "fault", model=case.model, condition=case.condition, note=note.id)
        walk = self._recorder.walk_of(self._recorder.begin(note, station=station, condition=case.condition), note)
        while walk.step <= len(note.steps) // 2:
            walk = self._act(walk)


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
