"""What the desk's two screens have in common: a page drawn anew after each thing done, next, previous, back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.entry import Entry
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.common.pressable import OfferLine
from assistant.tui.desk.at_desk import AtDesk

__all__ = ["DeskScreen"]


class DeskScreen(OfferingScreen[None]):
    """A screen over the pages of the desk.

    Parameters
    ----------
    at
        The page as it stands.
    entry
        Makes the widget that shows it.
    """

    ACTIONS: ClassVar[tuple[Action, ...]] = chosen("next", "previous", "back", "help", "colours", "leave")

    def __init__(self, at: AtDesk, entry: Callable[[], Entry]) -> None:
        super().__init__(at)
        self._at = at
        self._entry = entry

    def entry(self) -> Entry:
        """Return the page."""
        return self._entry()

    def at_foot(self) -> tuple[str, ...]:
        """Return what can be done here."""
        at = self._at
        can = {"next": at.can_go(1), "previous": at.can_go(-1), "back": not at.on_top, "help": True, "leave": at.on_top}
        return tuple(name for name in can if can[name] and (at.ask is None or name == "help"))

    @property
    def placeholder(self) -> str:
        """What the empty line says."""
        return super().placeholder if self._at.ask or self._at.offers else "No line to pick here"

    def bring_into_view(self, entry: Entry) -> None:
        """Show the page from its top, or from the line that was picked last."""
        lines = {line.number: line for line in entry.query(OfferLine)}
        if self._at.ask is None and self._at.last in lines:
            self.record.scroll_to_widget(lines[self._at.last], animate=False, force=True)
        else:
            super().bring_into_view(entry)

    async def action_next(self) -> None:
        """Show the next lines, or the next entry where one is open."""
        await self.do(lambda: self._at.go(1))

    async def action_previous(self) -> None:
        """Show the lines before, or the entry before where one is open."""
        await self.do(lambda: self._at.go(-1))

    async def action_back(self) -> None:
        """Go back to the page from which this one was opened."""
        await self.do(self._at.up)

    async def action_scroll_down(self) -> None:  # type: ignore[override]
        """Scroll down a page; at the end show the next lines."""
        if self.record.scroll_y < self.record.max_scroll_y or not self._turns(1):
            super().action_scroll_down()
        else:
            await self.action_next()

    async def action_scroll_up(self) -> None:  # type: ignore[override]
        """Scroll up a page; at the top show the lines before."""
        if self.record.scroll_y > 0 or not self._turns(-1):
            super().action_scroll_up()
        else:
            await self.action_previous()

    def _turns(self, by: int) -> bool:
        return not self._help and self._at.opened is None and self._at.can_go(by)

    async def action_escape(self) -> None:
        """Cancel a question, close help, empty the line, or else go back a page; the first page stays."""
        if self._at.ask or self._help or self.line.value or self._at.on_top:
            self.notice("")
            self._at.cancel()
            self._help = False
            self.line.value = ""
            await self.draw()
        else:
            await self.action_back()
