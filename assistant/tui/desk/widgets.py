"""What the desk's pages have in common: the numbered lines and the row of actions."""

from __future__ import annotations

from collections.abc import Iterator

from textual.widget import Widget

from assistant.tui.common.entry import ActionRow
from assistant.tui.common.pressable import OfferLine
from assistant.tui.desk.actions import DESK_ACTIONS
from assistant.tui.desk.at_desk import AtDesk

__all__ = ["action_row", "offer_lines"]


def offer_lines(at: AtDesk) -> Iterator[Widget]:
    """Yield the numbered lines."""
    for number, offer in enumerate(at.offers, start=1):
        yield OfferLine(number, offer.text)


def action_row(at: AtDesk) -> Iterator[Widget]:
    """Yield the row of what can be done here; nothing while a question is on the line."""
    can = {"next": at.can_go(1), "previous": at.can_go(-1), "up": not at.on_top}
    if at.ask is None:
        yield ActionRow(tuple(action for action in DESK_ACTIONS if not action.tap and can.get(action.id, True)))
