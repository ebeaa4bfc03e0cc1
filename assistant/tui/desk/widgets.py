"""What the desk's pages have in common: the numbered lines."""

from __future__ import annotations

from collections.abc import Iterator

from textual.widget import Widget

from assistant.tui.common.pressable import OfferLine
from assistant.tui.desk.at_desk import AtDesk

__all__ = ["offer_lines"]


def offer_lines(at: AtDesk) -> Iterator[Widget]:
    """Yield the numbered lines."""
    for number, offer in enumerate(at.offers, start=1):
        yield OfferLine(number, offer.text)
