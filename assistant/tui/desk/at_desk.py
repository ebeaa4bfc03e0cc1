"""What the desk's pages have in common: entries ten a page, one of them open, a question on the line."""

from __future__ import annotations

from functools import partial

from assistant.errors import UsageError
from assistant.tui.common.asking import Ask, Offer, line_number

__all__ = ["MOST_LINES", "AtDesk"]

MOST_LINES = 10
"""Entries that a page shows at a time."""


class AtDesk:
    """A list of entries; nothing is drawn here.

    ``start`` is the place of the first entry shown, ``opened`` that of the open one, None where none is; places count
    from 0. ``last`` is the number of the line that was picked before coming back to a page, 0 where there is none.
    """

    def __init__(self) -> None:
        self.said = ""
        self.ask: Ask | None = None
        self.start = 0
        self.opened: int | None = None
        self.last = 0

    @property
    def count(self) -> int:
        """How many entries there are."""
        raise NotImplementedError

    def line(self, place: int) -> str:
        """Return the line of an entry."""
        raise NotImplementedError

    @property
    def open_offers(self) -> tuple[Offer, ...]:
        """The numbered lines of the open entry."""
        return ()

    @property
    def on_top(self) -> bool:
        """Whether there is no page to go back to."""
        return self.opened is None

    @property
    def offers(self) -> tuple[Offer, ...]:
        """The numbered lines, first to last."""
        if self.ask:
            return self.ask.offers
        if self.opened is not None:
            return self.open_offers
        shown = range(self.start, min(self.start + MOST_LINES, self.count))
        return tuple(Offer(self.line(place), partial(self.open, place)) for place in shown)

    @property
    def question(self) -> str:
        """What the line takes now."""
        return self.ask.question if self.ask else ""

    @property
    def marked(self) -> int:
        """No line is taken by Enter alone: what is picked may be written into the notes."""
        return 0

    @property
    def shown_of(self) -> str:
        """Return which entries the page shows, or which one is open."""
        if self.opened is not None:
            return f"{self.opened + 1} of {self.count}"
        if self.count <= MOST_LINES:
            return str(self.count)
        return f"{self.start + 1} to {min(self.start + MOST_LINES, self.count)} of {self.count}"

    def open(self, place: int) -> None:
        """Open an entry."""
        self.opened = place
        self.last = 0

    def can_go(self, by: int) -> bool:
        """Tell whether there is a page, or an entry where one is open, ``by`` further on."""
        place = self.start + by * MOST_LINES if self.opened is None else self.opened + by
        return 0 <= place < self.count

    def go(self, by: int) -> None:
        """Go on to the next page or entry, or back to the one before.

        Raises
        ------
        UsageError
            If there is none, or a question is on the line.
        """
        self._unasked()
        if not self.can_go(by):
            raise UsageError("this is the last" if by > 0 else "this is the first")
        if self.opened is not None:
            self.open(self.opened + by)
        else:
            self.start += by * MOST_LINES
            self.last = 0

    def up(self) -> None:
        """Go back to the page from which this one was opened.

        Raises
        ------
        UsageError
            If this is the first page, or a question is on the line.
        """
        self._unasked()
        if self.on_top:
            raise UsageError("this is the first page; leave closes the program")
        self.close()

    def close(self) -> None:
        """Close the open entry."""
        if self.opened is not None:
            self.start = self.opened // MOST_LINES * MOST_LINES
            self.last = self.opened - self.start + 1
            self.opened = None

    def take(self, text: str) -> None:
        """Take what was typed on the line: a number, or an answer."""
        typed = self.ask.take if self.ask else None
        offers = self.offers
        number = int(text) if typed and text.isascii() and text.isdecimal() else line_number(text, len(offers))
        if 1 <= number <= len(offers):
            self.pick(number)
        elif typed:
            self.ask = typed(text)
        elif offers:
            raise UsageError(f"type 1 to {len(offers)}")
        else:
            raise UsageError("there is no numbered line here")

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""
        self.ask = self.offers[number - 1].take()

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""
        asked, self.ask = self.ask, None
        return asked is not None

    def _unasked(self) -> None:
        if self.ask:
            raise UsageError("answer on the line first, or press Esc")
