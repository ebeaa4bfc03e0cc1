"""A visit as widgets: the shop, the round, what is open, closing."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import Block
from assistant.tui.common.card import SafetyBox
from assistant.tui.common.entry import ActionRow, Entry, HelpEntry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.text import literal
from assistant.tui.visit.actions import VISIT_ACTIONS
from assistant.tui.visit.at_visit import AtVisit
from assistant.visiting.report import shown_time
from assistant.visiting.report_blocks import totals_line

__all__ = ["VisitEntry", "VisitHelp"]


class VisitEntry(Entry):
    """What the visit shows where it stands."""

    def __init__(self, at: AtVisit) -> None:
        super().__init__()
        self._at = at

    def compose(self) -> ComposeResult:
        """Lay out the page, the numbered lines and the row of actions."""
        at = self._at
        visit = at.visit
        yield Static(literal(f"Visit at shop {visit.store}" if visit else "Visit"), classes="title")
        if at.ask is None:
            if at.page == "shop":
                yield from self._shop_page()
            elif at.page == "round":
                yield from self._round_page()
            elif at.page == "open":
                yield from self._open_page()
            elif at.page == "closing":
                yield from self._closing_page()
            else:
                yield from self._handoff_page()
        for message in at.ask.safety if at.ask else ():
            yield SafetyBox(Block("safety", message.text, head=message.signal))
        for number, offer in enumerate(at.offers, start=1):
            yield OfferLine(number, offer.text)
        if at.ask is None:
            shown = {"ask", "help", "theme", "leave"} | ({"open_points", "close_visit"} if visit else set())
            yield ActionRow(tuple(action for action in VISIT_ACTIONS if action.id in shown))

    def _shop_page(self) -> Iterator[Widget]:
        yield Static(Content("No visit is open. Type the code of the shop, or pick one."), classes="text")

    def _round_page(self) -> Iterator[Widget]:
        at = self._at
        if at.visit:
            yield Hanging("In: ", literal(shown_time(at.visit.at)), classes="needs")
        for repeat in at.repeats:
            told = f"{repeat.station}: {repeat.fault}, {repeat.times} times since {repeat.first_at[:10]}"
            yield Hanging("Seen again: ", literal(told), classes="needs")
        if at.points and not at.seen:
            yield from self._open_page()
        left = len(at.unseen)
        if at.stations:
            yield Static(literal(f"{at.round_title}: {left} not seen yet"), classes="label")
        else:
            yield Static(Content("No station is known here yet. Type the first asset label."), classes="text")

    def _open_page(self) -> Iterator[Widget]:
        yield Static(Content("Open in this shop"), classes="label")
        if not self._at.points:
            yield Static(Content("Nothing."), classes="text")
        for point in self._at.points:
            told = f"{point.text} (since {point.since[:10]}; {point.owner}: {point.todo})"
            yield Hanging(f"{point.station or '-'}: ", literal(told), classes="item", indent=2)

    def _closing_page(self) -> Iterator[Widget]:
        at = self._at
        totals = at.totals
        if totals:
            yield Static(literal(totals_line(totals)), classes="text")
            for name, amounts in (("Parts used: ", totals.used), ("Parts wanted: ", totals.wanted)):
                told = ", ".join(f"{count} {part}" for part, count in amounts)
                yield Hanging(name, literal(told or "none"), classes="needs")
        if at.unseen:
            yield Hanging("! Not seen: ", literal(", ".join(at.unseen)), classes="first-rule")
        if at.works:
            told = ", ".join(f"{work.station or '-'} {work.note}" for work, _ in at.works)
            yield Hanging("! Not finished: ", literal(told), classes="first-rule")
        yield from self._open_page()

    def _handoff_page(self) -> Iterator[Widget]:
        yield Static(Content("To paste into a message"), classes="label")
        for line in self._at.handoff.splitlines():
            yield Hanging("", literal(line), classes="item", indent=2)


class VisitHelp(HelpEntry):
    """What a visit is for, and every action."""

    TEXTS = (
        "Type the asset label and pass, or fault and what is wrong: A-0101 fault stick drifts. Or pick a station.",
        "For a fault you are offered the notes that fit, and can work through one at once.",
        "A station seen twice counts as it was seen last. Nothing recorded is ever changed.",
    )
    ACTIONS = VISIT_ACTIONS
