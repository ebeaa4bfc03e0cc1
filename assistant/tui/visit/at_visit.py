"""A visit as the screen offers it: the shop, the round of stations, what is open, closing.

Nothing is drawn here. What changes the journal changes the state only after the recorder has returned.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Literal

from assistant.errors import UsageError
from assistant.journal.records import Visit, Work
from assistant.languages import said
from assistant.model import Note
from assistant.tui.common.asking import Ask, Offer, line_number
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.visit.at_shop import AtShop, unknown
from assistant.tui.visit.at_station import AtStation
from assistant.tui.visit.beside import Beside
from assistant.tui.visit.forms import CANCELLED, Answers, Field, Marked, form, marked_in, name_typed, undo
from assistant.tui.visit.leaving import Closed, closing_form
from assistant.visiting.days import read_day
from assistant.visiting.entries import UnknownError, pass_rest, rest_of, station_of
from assistant.visiting.line import WORDS, Line, names_station, read_line
from assistant.visiting.open_points import OpenPoint, owner_word
from assistant.visiting.recorder import Recorder
from assistant.visiting.report_words import open_words
from assistant.visiting.round_view import RoundView, round_view
from assistant.visiting.rounds import StationState
from assistant.visiting.times import shown_day

__all__ = ["AtVisit", "Page", "point_words"]

Page = Literal["shop", "round", "open", "rest", "closing", "closed", "plan", "bag"]
_ASIDE: frozenset[Page] = frozenset({"open", "rest", "closing", "plan", "bag"})


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
        self.at_station = AtStation(recorder, asks, note_by_id, begin_work, self._looked)
        self.at_shop = AtShop(recorder, self._opened)
        self.said = ""
        self.ask: Ask | None = None
        self.station = ""
        """The station in hand, empty for none."""
        self.to_ask = ""
        """A question that was typed on the round and is to be asked."""
        self.closed: Closed | None = None
        self.page: Page = "shop"
        self.look()

    def look(self) -> None:
        """Read from the journal how the visit stands; again after a work."""
        self.view: RoundView | None = round_view(self._recorder)
        if self.view is None:
            if self.page not in {"closed", "plan", "bag"}:
                self.page = "shop"
                self.at_shop.look()
        elif self.page in {"shop", "closed"}:
            self.page = "round"

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        if self.page == "shop":
            return self.at_shop.offers
        if self.page == "open" and self.view:
            return tuple(
                Offer(f"{_place(point)}: {point_words(point)}", partial(self._arrange, point))
                for point in self.view.points
            )
        if self.page == "rest" and self.view:
            return (Marked(said("They pass"), self._pass_rest), Offer(said("Back to the round"), self._to_round))
        if self.page == "round" and self.view:
            return self._round(self.view)
        return (Offer(said("Open another visit"), self._again),) if self.page == "closed" else ()

    def _round(self, view: RoundView) -> tuple[Offer, ...]:
        """Return the next station, then all in the order of the round, so that each keeps its number; then works."""
        if view.stations:
            first = self.at_station.next(view) or Offer(
                said("All stations are seen: close the visit"), self._ask_closing
            )
            lines = (self._station_line(view, stand) for stand in view.stations)
            stations: tuple[Offer, ...] = (first, *lines)
        else:
            stations = ()
        here = (self.at_station.work_line(work) for work in view.works)
        elsewhere = (self.at_station.work_line(work, shop) for work, shop in view.elsewhere)
        return (*stations, *here, *elsewhere)

    def _station_line(self, view: RoundView, stand: StationState) -> Offer:
        return Offer(self.at_station.words(view, stand), partial(self._pick, stand.station))

    @property
    def marked(self) -> int:
        """The number of the line that Enter takes, 0 for none."""
        return marked_in(self.offers)

    @property
    def question(self) -> str:
        """What the line takes now."""
        if self.ask:
            return self.ask.question
        return {
            "shop": said("Which shop? Its code, or the number of a line"),
            "round": said("Or type: A-0101 pass, or A-0101 and what is wrong"),
            "open": said("Who sees to it, and by when? The number of a line"),
            "rest": said("Do they pass?"),
        }.get(self.page, "")

    @property
    def aside(self) -> bool:
        """Whether a page beside the round is shown, from which Esc goes back."""
        return self.page in _ASIDE

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, an answer, a shop, or a station with how it is."""
        if self.offers or not self.ask:
            number = line_number(text, len(self.offers))
            if number:
                self.pick(number)
                return
        if self.ask and self.ask.take:
            self.ask = self.ask.take(text)
        elif self.ask:
            raise UsageError(said("type the number of a line, 1 to {len}, or press Esc", len=len(self.offers)))
        elif self.page == "shop":
            self.ask = self.at_shop.take(text)
        elif self.page == "closed":
            raise UsageError(said("the visit is closed: type save, copy, or leave"))
        elif text:
            self.ask = self._line(text)
        else:
            raise UsageError(said("type the number of a line, or an asset label and how it is, such as A-0101 pass"))

    def hears(self, text: str) -> bool:
        """Tell whether words of harm are heard before a text is taken; a fault shows its messages itself."""
        if self.ask:
            return not self.ask.content
        if self.view is None or self.page == "closed":
            return True
        try:
            return self._read(self.view, text).kind == "rest"
        except UsageError:
            return True

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()

    def cancel(self) -> bool:
        """Drop the question on the line, or go back to the round; tell whether there was either."""
        asked, self.ask = self.ask, None
        self.said = said(CANCELLED) if asked and asked.holds else ""
        self.station = ""
        back = self.aside and (asked is None or self.page == "closing")
        if back:
            self._to_round()
        return asked is not None or back

    def _line(self, text: str) -> Ask | None:
        """Take what was typed on the round; what names no station, and holds no number, is a question to be asked."""
        view = self._here()
        if text.endswith("?") and not (names_station(text, view.known) or _tells_how(text)):
            self.to_ask = text
            return None
        try:
            line = self._read(view, text)
        except UsageError:
            if any(c.isdecimal() for c in text) or not any(c.isalpha() for c in text):
                raise
            self.to_ask = text
            return None
        self.page = "round"
        if line.kind == "rest":
            self.show_rest()
            return None
        return self._of_station(view, line, line.found.label)

    def _read(self, view: RoundView, text: str) -> Line:
        stores = {visit.store for visit in self._recorder.journal.all(Visit)}
        return read_line(text, view.known, stores)

    def _of_station(self, view: RoundView, line: Line, label: str, *, new: bool = False) -> Ask | None:
        try:
            station = self.station = station_of(self._recorder, view, label, new=new)
        except UnknownError as error:
            known = partial(self._of_station, view, line)
            return unknown(error, said("station"), partial(known, error.label, new=True), known)
        if line.kind == "station":
            return self.at_station.menu(view, station)
        if line.kind == "pass":
            return self.at_station.passes(view, station)
        do = self.at_station.doubt if line.kind == "doubt" else self.at_station.fault
        return do(view, station, line.words)

    def _pick(self, station: str) -> Ask:
        self.station = station
        return self.at_station.menu(self._here(), station)

    def show_rest(self) -> None:
        """Show which stations pass when all the rest does, and which do not."""
        self._unasked()
        self.look()
        self.page = "rest" if rest_of(self._here()) else "round"
        if self.page == "round":
            pass_rest(self._recorder, self._here())

    def _pass_rest(self) -> None:
        passed = pass_rest(self._recorder, self._here())
        self.page = "round"
        self._looked(said("{join}: passed. Recorded.", join=", ".join(passed)))

    def show(self, page: Page) -> None:
        """Show a page beside the round, or the round again."""
        self._unasked()
        self.look()
        if page == "open":
            self._here()
        if self.page == page:
            self._to_round()
        else:
            self.page = page

    def back(self) -> None:
        """Go back to the round."""
        self._unasked()
        if not self.aside:
            raise UsageError(said("there is no page before this one: type leave to leave"))
        self._to_round()

    def close(self) -> None:
        """Show what closing the visit would leave, and ask who takes it over."""
        self._unasked()
        self.ask = self._ask_closing()

    def _ask_closing(self) -> Ask:
        self.look()
        self._here()
        self.page = "closing"
        return closing_form(self._recorder, self._close)

    def _close(self, closed: Closed) -> None:
        self.closed = closed
        self.page = "closed"
        self._looked(said("The visit at {store} is closed.", store=closed.store))

    def undo(self) -> None:
        """Take the last entry back."""
        self._unasked()
        self.ask = undo(self._recorder, self._taken_back)

    def _taken_back(self, told: str) -> None:
        self._looked(told)
        if self.view is None:
            self.at_shop.forget()

    def record(self) -> None:
        """Ask what is to be recorded of the visit, without a station."""
        self._unasked()
        self.ask = Beside(self._recorder, self._looked).menu()

    def _opened(self, visit: Visit, told: str) -> Ask:
        self._looked(told)
        return self._ask_permission()

    def _ask_permission(self) -> Ask:
        off = Offer(said("The staff had switched a station off"), self._ask_off)
        return Ask(said("Who of the store gave permission? Enter alone: not told"), self._permitted, (off,))

    def _permitted(self, name: str) -> Ask | None:
        if not name:
            return None
        if any(character.isdecimal() for character in name):
            return self._line(name)
        self._recorder.arrive(name)
        self._looked(said("Permission by {name}. Recorded.", name=name))
        return None

    def _ask_off(self) -> Ask:
        fields = (
            Field(said("Which station had they switched off?"), needed=True),
            Field(said("Why? May be empty"), content=True),
        )
        return form(fields, self._switched_off)

    def _switched_off(self, answers: Answers) -> Ask:
        station = station_of(self._recorder, self._here(), answers[0], new=True)
        self._recorder.switched_off(station, answers[1])
        self._looked(said("{station}: switched off by the staff. Recorded.", station=station))
        return self._ask_permission()

    def _arrange(self, point: OpenPoint) -> Ask:
        def day(text: str) -> str:
            return read_day(text, self._recorder.today)

        fields = (
            Field(
                said("{place}: who sees to it?", place=_place(point)),
                lines=((owner_word(point.owner), point.owner),),
                read=name_typed,
            ),
            Field(said("By when, such as friday or in 3 days? May be empty"), read=day),
        )
        return form(fields, partial(self._arranged, point))

    def _arranged(self, point: OpenPoint, answers: Answers) -> None:
        owner, due = answers
        self._recorder.arrange(point.station, point.kind, owner=owner, due=due)
        self._looked(said("{place}: {owner} sees to it. Recorded.", place=_place(point), owner=owner_word(owner)))

    def _looked(self, told: str) -> None:
        self.look()
        self.said = told

    def _to_round(self) -> None:
        self.page = "round" if self.view else "closed" if self.closed else "shop"

    def _again(self) -> None:
        self.page, self.closed = "shop", None
        self.look()

    def _here(self) -> RoundView:
        if self.view is None:
            raise UsageError(said("no visit is open: type the code of the shop first"))
        return self.view

    def _unasked(self) -> None:
        if self.ask:
            raise UsageError(said("answer on the line first, or press Esc"))


def point_words(point: OpenPoint) -> str:
    """Return an open point with who sees to it and by when."""
    by = said(", by {shown_day}", shown_day=shown_day(point.due)) if point.due else ""
    return said(
        "{open_words}; seen to by: {owner}{by}", open_words=open_words(point), owner=owner_word(point.owner), by=by
    )


def _tells_how(text: str) -> bool:
    """Tell whether the second word says how a station is, so that the first is its label though it is not known."""
    second = text.lower().split()[1:2]
    return bool(WORDS.passes.union(WORDS.faults).intersection(second))


def _place(point: OpenPoint) -> str:
    return point.station or said("No station")
