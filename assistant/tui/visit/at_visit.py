"""A visit as the screen offers it: the shop, the round of stations, a fault and its note, closing.

Nothing is drawn here. What changes the journal changes the state only after the recorder has returned.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial
from typing import Literal, cast

from assistant.errors import AssistantError, UsageError
from assistant.journal.records import RESULTS, OutcomeName, Sighting, Visit, Work
from assistant.model import Answer, Note
from assistant.tui.common.asking import HANDED_OVER, Ask, Beside, Offer, in_turn
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.visit.standing import note_or_none, outcome_word
from assistant.visiting.figures import RepeatFault, repeat_faults
from assistant.visiting.recorder import Recorder
from assistant.visiting.report import visit_report
from assistant.visiting.report_forms import handoff_text
from assistant.visiting.rounds import OpenPoint, StationState, Totals, events, left_open, stations_of, totals

__all__ = ["AtVisit", "Page"]

Page = Literal["shop", "round", "open", "closing", "closed"]
_SHOPS_SHOWN = 9
_DIGITS_OF_A_LINE = 2
_ROUND = "visit-round"
_SIGNS = {"pass": "+", "mended": "+", "replaced": "+", "withdrawn": "x"}
_TYPED = re.compile(r"(\S+)\s+(pass|fault)\b\s*(.*)", re.IGNORECASE)


class AtVisit:
    """The visit that is open, or the shop to open one in.

    Parameters
    ----------
    recorder
        Records all that is done.
    asks
        Finds the note for a fault.
    note_by_id
        Returns a note of the pack.
    begin_work
        Is given a work that has begun, or is to be gone on with, and its note.
    """

    def __init__(
        self, recorder: Recorder, asks: Asks, note_by_id: NoteById, begin_work: Callable[[Work, Note], None]
    ) -> None:
        self._recorder = recorder
        self._asks = asks
        self._note_by_id = note_by_id
        self._begin_work = begin_work
        self.said = ""
        self.ask: Ask | None = None
        self.station = ""
        self.handoff = ""
        self.page: Page = "shop"
        self.look()

    def look(self) -> None:
        """Read from the journal how the visit stands; again after a work."""
        journal = self._recorder.journal
        self.visit: Visit | None = self._recorder.visit
        self.works: list[tuple[Work, Note | None]] = [
            (work, note_or_none(self._note_by_id, work.note)) for work in self._recorder.open_works()
        ]
        stores = {visit.id: visit.store for visit in journal.all(Visit)}
        self._shops = list(dict.fromkeys(reversed(stores.values())))[:_SHOPS_SHOWN]
        self._going_on = tuple(self._go_on(work, note, stores) for work, note in self.works)
        self.stations: list[StationState] = []
        self.seen: set[str] = set()
        self.points: list[OpenPoint] = []
        self._last: dict[str, str] = {}
        self.repeats: list[RepeatFault] = []
        if self.visit is None:
            if self.page != "closed":
                self.page = "shop"
            return
        if self.page in {"shop", "closed"}:
            self.page = "round"
        store, here = self.visit.store, self.visit.id
        before = [stand.station for stand in stations_of(journal, store, until_visit=here)]
        seen = dict.fromkeys(sighting.station for sighting in journal.all(Sighting, visit=here))
        order = list(dict.fromkeys((*before, *seen)))
        now = {stand.station: stand for stand in stations_of(journal, store)}
        self.stations = [now[station] for station in dict.fromkeys((*order, *now))]
        self.seen = set(seen)
        self._last = {event.station: event.name for event in events(journal, store=store) if event.at >= self.visit.at}
        self.points = left_open(journal, self.visit.store)
        self.repeats = [r for r in repeat_faults(journal) if r.store == self.visit.store and r.station in self.seen]

    @property
    def totals(self) -> Totals | None:
        """What the visit comes to so far."""
        return totals(self._recorder.journal, self.visit.id) if self.visit else None

    @property
    def unseen(self) -> list[str]:
        """Stations known here that were not seen on this visit."""
        return [stand.station for stand in self.stations if stand.station not in self.seen]

    def word(self, stand: StationState) -> str:
        """Return how a station stands on this visit, in words."""
        if stand.station not in self.seen:
            return "? not seen yet"
        if any(work.station == stand.station for work, _ in self.works):
            return "> being worked on"
        name = "withdrawn" if stand.state == "withdrawn" else self._last[stand.station]
        words = name if name in RESULTS else outcome_word(cast("OutcomeName", name))
        return f"{_SIGNS.get(name, '!')} {words}"

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        if self.page == "closed":
            return ()
        if self.page == "shop":
            return (*self._going_on, *(Offer(f"Shop {store}", partial(self._ask_rep, store)) for store in self._shops))
        if self.page == "closing":
            return (Offer("Close the visit", self._close), Offer("Back to the round", self._back))
        if self.page == "open":
            return (Offer("Back to the round", self._back),)
        return (*self._going_on, *(self._station_offer(stand) for stand in self.stations))

    @property
    def round_title(self) -> str:
        """The head of the round: the title of its note."""
        note = note_or_none(self._note_by_id, _ROUND)
        return note.title if note else "The round"

    def _go_on(self, work: Work, note: Note | None, stores: Mapping[int, str]) -> Offer:
        here = self.visit.store if self.visit else ""
        store = stores.get(work.visit or 0, "")
        place = work.station or "no station"
        elsewhere = f" in shop {store}" if store not in ("", here) else ""
        named = f"Go on: {place}{elsewhere}, {work.note}"
        if note is None:
            return Offer(f"{named}, whose note cannot be read", partial(self._missing, work.note))
        step = self._recorder.walk_of(work, note).step
        where = f"step {step}" if step <= len(note.steps) else "how did it end?"
        return Offer(f"{named}, {where}", partial(self._begin, work, note))

    def _station_offer(self, stand: StationState) -> Offer:
        told = f": {stand.condition or stand.note}" if stand.condition or stand.note else ""
        kind = f" ({stand.model})" if stand.model else ""
        return Offer(f"{stand.station}{kind} {self.word(stand)}{told}", partial(self._pick, stand.station))

    @property
    def question(self) -> str:
        """What the line takes now."""
        if self.ask:
            return self.ask.question
        if self.page == "shop":
            return "Code of the shop? Type it, or pick a line"
        if self.page == "round":
            return "Station: pick it, or type A-0101 pass, or A-0101 fault and what is wrong"
        return ""

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, an answer, a shop, or a station with its result."""
        number = int(text) if text.isascii() and text.isdigit() else 0
        if 1 <= number <= len(self.offers):
            self.pick(number)
        elif self.ask and self.ask.take:
            self.ask = self.ask.take(text)
        elif self.page == "round" and len(text) <= _DIGITS_OF_A_LINE and number:
            raise UsageError(f"type a number from 1 to {len(self.offers)}, or an asset label")
        elif not text:
            raise UsageError("type something, or pick a numbered line")
        elif self.ask or self.page in {"closing", "open", "closed"}:
            raise UsageError("pick one of the numbered lines")
        elif self.page == "shop":
            self.ask = self._ask_rep(text)
        elif typed := _TYPED.fullmatch(text):
            self.ask = self._result(typed[1], typed[2].lower(), typed[3])
        elif " " in text:
            raise UsageError("a station reads: A-0101, or A-0101 pass, or A-0101 fault and what is wrong")
        else:
            self.ask = self._pick(text)

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""
        asked, self.ask = self.ask, None
        return asked is not None

    def show_open(self) -> None:
        """Show what is open here, or the round again."""
        self._needs_visit()
        self._unasked()
        self.page = "round" if self.page == "open" else "open"

    def close_visit(self) -> None:
        """Show what closing the visit would leave; close it at the second time."""
        self._needs_visit()
        self._unasked()
        if self.page == "closing":
            self._close()
        else:
            self.page = "closing"

    def _unasked(self) -> None:
        if self.ask:
            raise UsageError("answer on the line first, or press Esc")

    def _needs_visit(self) -> None:
        if self.visit is None:
            raise UsageError("no visit is open: type the code of the shop first")

    def _ask_rep(self, store: str) -> Ask:
        return Ask(f"Shop {store}: who visits? May be empty", partial(self._open, store))

    def _open(self, store: str, rep: str) -> None:
        visit = self._recorder.open_visit(store, rep)
        self.page = "round"
        self.look()
        earlier = left_open(self._recorder.journal, visit.store, before_visit=visit.id)
        plural = "" if len(earlier) == 1 else "s"
        self.said = f"Visit {visit.id} at {visit.store} is open. {len(earlier)} open point{plural} from before."

    def _pick(self, station: str) -> Ask:
        self.station = station = station.upper()
        offers = (
            Offer("Pass", partial(self._result, station, "pass", "")),
            Offer("Fault", partial(self._result, station, "fault", "")),
            Offer("Record a part, a picture or a remark", partial(self._beside, station)),
            Offer("Hand over to the support desk", partial(self._hand_over, station)),
        )
        return Ask(f"{station}: how is it?", None, offers)

    def _result(self, station: str, result: str, condition: str) -> Ask | None:
        self.station = station.upper()
        if result == "pass":
            self._recorder.see(station, "pass")
            self._looked(f"{self.station}: pass. Recorded.")
            return None
        if not condition:
            return Ask(f"{self.station}: what is wrong?", partial(self._result, station, "fault"))
        answer = self._answer(condition)
        options = [option.id for option in answer.options] if answer and answer.decision != "none" else []
        first = [answer.note.id] if answer and answer.note else []
        notes = [note for note_id in (*first, *options) if (note := note_or_none(self._note_by_id, note_id))]
        offers = [Offer(f"{n.title} ({n.id})", partial(self._see_with, station, condition, n)) for n in notes]
        offers.append(Offer("No note, just record the fault", partial(self._see_alone, station, condition)))
        safety = answer.safety if answer and answer.safety_first else ()
        return Ask(f"{self.station}: which note fits?", None, tuple(offers), holds=True, safety=safety)

    def _answer(self, condition: str) -> Answer | None:
        """Ask for the note, and keep the question; where that fails it is said, and the fault can still be recorded."""
        try:
            answer, _ = self._asks.ask(condition)
        except AssistantError as error:
            self.said = f"No note could be looked for: {error}"
            return None
        try:
            self._recorder.question(answer)
        except AssistantError as error:
            self.said = f"The question was not kept: {error}"
        return answer

    def _missing(self, note_id: str) -> None:
        raise UsageError(f"the note '{note_id}' cannot be read in this pack")

    def _see_alone(self, station: str, condition: str) -> None:
        self._recorder.see(station, "fault", condition=condition)
        self._looked(f"{self.station}: fault. Recorded.")

    def _see_with(self, station: str, condition: str, note: Note) -> Ask:
        self._recorder.see(station, "fault", condition=condition, note=note.id)
        self._looked(f"{self.station}: fault. Recorded.")
        offers = (
            Offer(f"Work through it now, about {note.minutes} min", partial(self._work_on, station, condition, note)),
            Offer("Later: go on with the round", self._later),
        )
        return Ask(f"{self.station}: {note.title}. Now?", None, offers)

    def _work_on(self, station: str, condition: str, note: Note) -> None:
        self._begin(self._recorder.begin(note, station=station, condition=condition), note)

    def _begin(self, work: Work, note: Note) -> None:
        self._begin_work(work, note)

    def _later(self) -> None:
        self.said = ""

    def _beside(self, station: str) -> Ask:
        return Beside(self._recorder, None, (), self._looked, station).menu()

    def _hand_over(self, station: str) -> Ask:
        return in_turn(HANDED_OVER, partial(self._handed_over, station))

    def _handed_over(self, station: str, answers: tuple[str, ...]) -> None:
        reason, job, contact, due = answers
        self._recorder.escalate(reason, station=station, job=job, contact=contact, due=due)
        self._looked(f"{station}: handed to the support desk. Recorded.")

    def _looked(self, said: str) -> None:
        self.look()
        self.said = said

    def _back(self) -> None:
        self.page = "round"

    def _close(self) -> None:
        closing = self._recorder.close_visit()
        self.handoff = handoff_text(visit_report(self._recorder.journal, closing.visit))
        self.page = "closed"
        self.look()
        self.said = f"The visit is closed. The whole report: assistant visit report --visit {closing.visit}"
