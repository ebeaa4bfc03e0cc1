"""A visit as widgets: the shop, the round, what is open, the rest, closing, what was closed, plan and bag."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import Block
from assistant.languages import said
from assistant.tui.common.card import SafetyBox
from assistant.tui.common.entry import Entry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.text import literal
from assistant.tui.visit.at_visit import AtVisit, point_words
from assistant.visiting.entries import rest_of, why_not
from assistant.visiting.report_blocks import Block as ReportBlock
from assistant.visiting.report_blocks import (
    Facts,
    Heading,
    Items,
    Line,
    Pictures,
    Sign,
    Table,
)
from assistant.visiting.report_words import picture_words, totals_line
from assistant.visiting.round_view import RoundView, before_closing
from assistant.visiting.times import local_day, shown_day

__all__ = ["VisitEntry"]

_INDENT = 2


class VisitEntry(Entry):
    """What the visit shows where it stands.

    Parameters
    ----------
    at
        The visit.
    beside
        The lines of the plan or the bag, where one of these is shown.
    """

    def __init__(self, at: AtVisit, beside: Iterable[str] = ()) -> None:
        super().__init__()
        self._at = at
        self._beside = tuple(beside)

    def compose(self) -> ComposeResult:
        """Lay out what is asked, or the page, and the numbered lines."""
        at = self._at
        if at.ask and at.page != "closing":
            yield from self._safety()
            yield from self._offers(1)
        elif at.page == "round" and at.view:
            yield from self._round(at.view)
        else:
            yield from self._page()
            yield from self._offers(1)

    def _page(self) -> Iterator[Widget]:
        at, view = self._at, self._at.view
        if at.page == "shop":
            yield from self._shop()
        elif at.page == "closed":
            yield from self._after_closing()
        elif at.page in {"plan", "bag"}:
            yield _label(said("Plan: where to go") if at.page == "plan" else said("The kit bag"))
            for text in self._beside:
                yield Hanging("", literal(text.strip()), classes="item", indent=_INDENT)
        elif view and at.page == "open":
            yield from _open(view, lines=False)
        elif view and at.page == "rest":
            yield from self._rest(view)
        elif view:
            yield from self._before_closing(view)

    def _offers(self, first: int, last: int | None = None) -> Iterator[Widget]:
        marked = self._at.marked
        for number, offer in enumerate(self._at.offers[first - 1 : last], start=first):
            yield OfferLine(number, offer.text, marked=number == marked)

    def _safety(self) -> Iterator[Widget]:
        ask = self._at.ask
        emergency = self._at.at_station.emergency
        if ask and ask.holds and emergency and ask.safety:
            yield Hanging("! ", literal(emergency), classes="emergency")
        for message in ask.safety if ask else ():
            yield SafetyBox(Block("safety", message.text, head=message.signal))

    def _shop(self) -> Iterator[Widget]:
        rep = self._at.at_shop.rep
        yield Static(Content(said("No visit is open.")), classes="text")
        if rep:
            yield Static(
                literal(said("Who visits: {rep}. To change it, type rep and the name.", rep=rep)), classes="read-as"
            )

    def _round(self, view: RoundView) -> Iterator[Widget]:
        at = self._at
        for repeat in view.repeats:
            told = said(
                "{station}: {fault}, {times} times since {shown_day}",
                station=repeat.station,
                fault=repeat.fault,
                times=repeat.times,
                shown_day=shown_day(local_day(repeat.first_at)),
            )
            yield Hanging(said("Seen again: "), literal(told), classes="needs")
        if not view.stations:
            yield Static(Content(said("No station is known here yet. Type the first asset label.")), classes="text")
        shown = len(view.stations) + 1 if view.stations else 0
        for line in self._offers(1, 1 if view.stations else 0):
            line.add_class("next")
            yield line
        if view.stations:
            yield from self._offers(2, shown)
        if len(at.offers) > shown:
            yield _label(said("Work that stands open"))
            yield from self._offers(shown + 1)
        if view.points and not view.seen:
            yield from _open(view, lines=True)

    def _rest(self, view: RoundView) -> Iterator[Widget]:
        passing = rest_of(view)
        yield Hanging(said("These pass: "), literal(", ".join(passing)), classes="text", indent=_INDENT)
        for station in view.unseen:
            if station not in passing:
                words = f"{station}, {why_not(view, station)}"
                yield Hanging(said("Not: "), literal(words), classes="needs", indent=_INDENT)

    def _before_closing(self, view: RoundView) -> Iterator[Widget]:
        forgotten = before_closing(view)
        yield _label(said("Before you go") if forgotten else said("Nothing is forgotten"))
        for text in forgotten:
            yield Hanging("! ", literal(text), classes="first-rule")
        yield Static(literal(totals_line(view.totals)), classes="text")
        yield from _open(view, lines=True)

    def _after_closing(self) -> Iterator[Widget]:
        closed = self._at.closed
        if closed is None:
            return
        yield _label(said("Message for the desk"))
        for text in closed.message.splitlines():
            yield Hanging("", literal(text), classes="item", indent=_INDENT)
        yield _label(said("Report"))
        for block in closed.blocks:
            yield from _report(block)


def _label(text: str) -> Static:
    return Static(literal(text), classes="label")


def _open(view: RoundView, *, lines: bool) -> Iterator[Widget]:
    """Yield what is open in the shop; without the points where they stand as numbered lines."""
    yield _label(said("Open in this shop") if view.points else said("Nothing is open in this shop"))
    for point in view.points if lines else ():
        station = point.station or said("No station")
        yield Hanging(f"{station}: ", literal(point_words(point)), classes="item", indent=_INDENT)


def _report(block: ReportBlock) -> Iterator[Widget]:
    """Yield a block of the report as plain lines."""
    if isinstance(block, Heading):
        yield Static(literal(block.text), classes="label")
    elif isinstance(block, Facts):
        yield from (Hanging(f"{name}: ", literal(value), classes="item") for name, value in block.facts)
    elif isinstance(block, Line):
        yield Hanging("", literal(block.text), classes="item", indent=_INDENT)
    elif isinstance(block, Items):
        yield Static(literal(block.label), classes="label")
        yield from (Hanging("- ", literal(item), classes="item") for item in block.items)
    elif isinstance(block, Table):
        yield Static(literal(block.caption), classes="label")
        for row in block.rows:
            cells = ("".join(pair) for pair in zip(block.joins, row[1:], strict=True) if pair[1])
            yield Hanging(f"{row[0]} ", literal("".join(cells)), classes="item", indent=_INDENT)
    elif isinstance(block, Pictures):
        yield from (Hanging(said("Picture: "), literal(picture_words(one)), classes="item") for one in block.pictures)
    elif isinstance(block, Sign):
        yield Hanging(said("Signed: "), literal(block.name or said("on paper")), classes="item")
