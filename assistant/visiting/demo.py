"""Made-up shops, so that every screen and report has something to show."""

from __future__ import annotations

import random
import struct
import zlib
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar, cast

from assistant.errors import UsageError
from assistant.journal.records import KINDS, Part, Plays, Question, Record
from assistant.journal.store import Journal, stamp
from assistant.languages import said, to_say
from assistant.model import Note, Trade
from assistant.values import get_args
from assistant.visiting.demo_words import (
    ALLOWED_BY,
    CLOSING_REMARKS,
    NEAR_MISSES,
    REMARKS,
    REPS,
    SWITCHED_OFF,
    TAKEN_BY,
    Case,
    Scenes,
    Theme,
    as_told,
    scenes_of,
    shipped_scenes,
)
from assistant.visiting.demo_works import Clock, Deck, Worker, straight_on
from assistant.visiting.entries import release_and_pass, still_out
from assistant.visiting.open_points import left_open
from assistant.visiting.recorder import Recorder
from assistant.visiting.waits import waiting_seconds
from assistant.visiting.walk import pending

__all__ = ["fill_demo"]

_DAYS = 120
_SHOPS = 10
_VISITS = 60
_FAULTY = 0.34
_LAST_STEP = 3
"""Step at which the last work stands."""
_PLAYS: tuple[Plays, ...] = get_args(Plays)
_SIDE = 48
"""Height of a picture in points; it is half as wide again."""
_MIXED_UP = to_say("dark: no, that is the next station")
"""What the rep takes back."""
R = TypeVar("R", bound=Record)


def _picture(colour: tuple[int, int, int]) -> bytes:
    """Return a small picture of a dark box with a lit pane, as a PNG.

    Source
    ------
    W3C, Portable Network Graphics (from memory).
    """
    wide = _SIDE * 3 // 2
    wall, box = bytes((214, 210, 200)), bytes((66, 70, 80))
    rows = bytearray()
    for y in range(_SIDE):
        rows.append(0)
        for x in range(wide):
            inside = wide // 4 <= x < wide * 3 // 4 and y >= _SIDE // 8
            lit = wide // 3 <= x < wide * 2 // 3 and _SIDE // 4 <= y < _SIDE // 2
            rows += bytes(colour) if lit else box if inside else wall
    header = struct.pack(">IIBBBBB", wide, _SIDE, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(bytes(rows), 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data)) for name, data in chunks
    )


class _Scene:
    """Draws visits and records them one after the other."""

    def __init__(
        self,
        journal: Journal,
        notes: Callable[[str], Note | None],
        harm: frozenset[str],
        seed: int,
        until: datetime,
        pictures: Path,
        scenes: Scenes,
    ) -> None:
        self._scenes = scenes
        self._models = tuple(dict.fromkeys(case.model for case in scenes.cases))
        self._random = random.Random(seed)  # noqa: S311 - made-up data, the same for the same seed
        self._clock = Clock(until - timedelta(days=_DAYS))
        self._until = until
        self._journal = journal
        trade = Trade(stations={model: model for model in self._models})
        self._recorder = Recorder(journal, trade, harm, clock=self._clock)
        self._worker = Worker(self._recorder, notes, self._clock, self._random)
        self._pictures = pictures
        self._notes = notes
        self._shops = {f"S-{n:03}": self._stations(n) for n in range(1, _SHOPS + 1)}
        self._shop = Deck(sorted(self._shops), self._random)
        self._weak: dict[str, Case] = {}

    def _stations(self, shop: int) -> list[tuple[str, str]]:
        count = self._random.randint(4, 8)
        return [(f"A-{100 * shop + n:04}", self._random.choice(self._models)) for n in range(1, count + 1)]

    def _asked_in_vain(self) -> list[list[tuple[Theme, list[str]]]]:
        """Return what is asked in vain at each visit: each theme at four to eight, in two wordings at every third."""
        plan: list[list[tuple[Theme, list[str]]]] = [[] for _ in range(_VISITS)]
        for theme in self._scenes.themes:
            wording = Deck(theme.wordings, self._random)
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
            self._worker.breaks_off = self._worker.breaks_off or number == _VISITS - 8
            self._visit(number, store, in_vain)
        self._clock.time = self._until - timedelta(minutes=40)
        self._last_visit("S-001")

    def _visit(self, number: int, store: str, in_vain: list[tuple[Theme, list[str]]]) -> None:
        self._recorder.open_visit(store, as_told(REPS)[number % len(REPS)])
        self._clock.go(4)
        allowed_by = as_told(ALLOWED_BY)[number % len(ALLOWED_BY)]
        self._recorder.arrive(allowed_by)
        if number % 6 == 1:
            station, _ = self._random.choice(self._shops[store])
            self._recorder.switched_off(station, self._random.choice(as_told(SWITCHED_OFF)))
        if number % 20 == 7:
            self._take_back(self._shops[store][0][0])
        for station, model in self._shops[store]:
            self._clock.go(self._random.uniform(1, 4))
            self._station(station, model)
        for theme, wordings in in_vain:
            self._ask_in_vain(theme, wordings)
        self._rest(number, store)
        self._clock.go(5)
        signed = number % 3 == 0
        self._recorder.close_visit(
            self._random.choice(as_told(CLOSING_REMARKS)),
            taken_by=allowed_by if signed else "",
            signed="typed" if signed else "",
            next_visit=self._in_days(20) if number % 2 else "",
        )

    def _rest(self, number: int, store: str) -> None:
        """Record what a day has beside stations and questions: a near miss, what was arranged, what is in the bag."""
        self._clock.go(1)
        if number % 18 == 4:
            station, _ = self._random.choice(self._shops[store])
            told = self._random.choice(as_told(ALLOWED_BY))
            self._recorder.incident("near_miss", self._random.choice(as_told(NEAR_MISSES)), station=station, told=told)
        points = left_open(self._journal, store)
        if points and number % 4 == 2:
            self._recorder.arrange(points[0].station, points[0].kind, owner=said(ALLOWED_BY[0]), due=self._in_days(7))
        if number % 12 == 9:
            with self._recorder.entry(said("bag counted")):
                for part in sorted({record.part for record in self._journal.all(Part)}):
                    self._recorder.count(part, self._random.randint(0, 3))

    def _take_back(self, station: str) -> None:
        """Record a fault at the wrong station, and take it back."""
        self._recorder.see(station, "fault", condition=said(_MIXED_UP))
        self._clock.go(0.5)
        self._recorder.undo()

    def _in_days(self, days: int) -> str:
        return (self._recorder.today + timedelta(days=days)).isoformat()

    def _station(self, station: str, model: str) -> None:
        if self._recorder.out_of_service(station):
            if self._random.random() < 0.6:
                release_and_pass(
                    self._recorder, station, self._random.choice(as_told(TAKEN_BY)), self._worker.number("R")
                )
            else:
                still_out(self._recorder, station)
            return
        if self._random.random() > _FAULTY:
            self._recorder.see(station, "pass", model=model)
            return
        case = self._case(station, model)
        note = self._notes(case.note)
        if note is None:
            self._recorder.see(station, "fault", model=model, condition=case.condition)
            return
        plays = self._random.choice(_PLAYS)
        self._recorder.see(station, "fault", model=model, condition=case.condition, note=case.note, plays=plays)
        self._ask(case, note)
        if self._random.random() < 0.2:
            self._photo(station, case.condition)
        if self._random.random() < 0.9:
            self._worker.work(note, station, case.condition)
        if self._random.random() < 0.12:
            self._recorder.remark(self._random.choice(as_told(REMARKS)), station=station)

    def _photo(self, station: str, shows: str) -> None:
        path = self._pictures / f"{station.lower()}-{self._clock.time:%m%d}.png"
        path.write_bytes(_picture((self._random.randrange(256), self._random.randrange(256), 160)))
        self._recorder.photo(path, station=station, shows=shows)

    def _number(self, letter: str) -> str:
        return f"{letter}-{self._random.randint(1000, 9999)}"

    def _case(self, station: str, model: str) -> Case:
        """Return the fault that this station has again, or a new one."""
        if station in self._weak and self._random.random() < 0.4:
            return self._weak[station]
        fitting = [case for case in self._scenes.cases if case.model == model]
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
            self._recorder.judge(asked, "not_helpful", said("the station here looks different"))
        if sure and self._random.random() < 0.12:
            self._question(said("which parts do I need"), "answer", note.id, near, about="parts")

    def _ask_in_vain(self, theme: Theme, wordings: list[str]) -> None:
        for text in wordings:
            if self._random.random() < 0.75:
                self._question(text, "none", options=(theme.nearest,))
            else:
                asked = self._question(text, "answer", theme.nearest)
                self._recorder.judge(asked, "not_helpful", said("not what I asked"))

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

    def _last_visit(self, store: str) -> None:
        self._recorder.open_visit(store, said(REPS[1]))
        self._clock.go(1)
        self._recorder.arrive(said(ALLOWED_BY[0]))
        busy = {work.station for work in self._recorder.open_works()}
        (first, kind), *others = (
            (station, model)
            for station, model in self._shops[store]
            if station not in busy and not self._recorder.out_of_service(station)
        )
        self._clock.go(1)
        self._recorder.see(first, "pass", model=kind)
        found = next(
            (
                (station, case, note)
                for station, model in others
                for case in self._scenes.cases
                if case.model == model and (note := self._notes(case.note)) and _suits_the_last(note)
            ),
            None,
        )
        if found is None:
            return
        station, case, note = found
        self._recorder.see(station, "fault", model=case.model, condition=case.condition, note=note.id)
        self._ask(case, note)
        walk = self._recorder.walk_of(self._recorder.take_up(note, station=station, condition=case.condition), note)
        while walk.step < _LAST_STEP or pending(walk):
            walk = self._worker.act(walk, straight_on(walk.current) if walk.current else None)


def _scenes_for(notes: Callable[[str], Note | None], ids: Sequence[str]) -> Scenes:
    shipped = shipped_scenes()
    if not ids or any(case.note in ids for case in shipped.cases):
        return shipped
    own = scenes_of(note for name in ids if (note := notes(name)))
    if not own.cases:
        raise UsageError(said("no note has something done at a station, so that no visit can be made up"))
    return own


def _suits_the_last(note: Note) -> bool:
    """Tell whether a note warns, and its first steps can be done one after the other without long waits."""
    first = note.steps[: _LAST_STEP - 1]
    plain = all(not waiting_seconds(s.text) and (not s.branches or straight_on(s) is not None) for s in first)
    return plain and bool(note.safety) and len(note.steps) > _LAST_STEP


def fill_demo(
    journal: Journal,
    notes: Callable[[str], Note | None],
    *,
    until: datetime,
    harm: frozenset[str] = frozenset(),
    seed: int = 1,
    ids: Sequence[str] = (),
) -> None:
    """Fill an empty journal with made-up visits of the days up to ``until``; the same for the same seed.

    Parameters
    ----------
    notes
        Returns a note by its id; faults without one are recorded as seen only.
    harm
        Ids of the notes that deal with harm to somebody.
    ids
        Ids of all notes there are; where none of them ships with the program, faults are told by the notes' titles.

    Raises
    ------
    UsageError
        If the journal holds anything.
    """
    with journal.writing(), TemporaryDirectory() as pictures:
        if any(journal.every(kind) for kind in KINDS):
            raise UsageError(
                said(
                    "{path}: holds records; made-up ones go into an empty journal, such as --home DIR",
                    path=journal.path,
                )
            )
        scenes = _scenes_for(notes, ids)
        _Scene(journal, notes, harm, seed, until, Path(pictures), scenes).play()
