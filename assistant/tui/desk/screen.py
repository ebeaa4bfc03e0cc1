"""What the desk's two screens have in common: a page drawn anew after each thing done, next, previous, back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from assistant.tui.common.actions import action_of, bindings
from assistant.tui.common.entry import Entry, HelpEntry
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.common.pressable import OfferLine
from assistant.tui.desk.actions import DESK_ACTIONS
from assistant.tui.desk.at_desk import AtDesk

__all__ = ["DeskScreen"]


class DeskScreen(OfferingScreen[None]):
    """A screen over the pages of the desk.

    Parameters
    ----------
    at
        The page as it stands.
    entry, help
        Make the widget that shows it, and help.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(DESK_ACTIONS)]

    def __init__(self, at: AtDesk, entry: Callable[[], Entry], help: Callable[[], HelpEntry]) -> None:
        super().__init__(at)
        self._at = at
        self._entry = entry
        self._help_entry = help

    def compose(self) -> ComposeResult:
        """Lay out what every such screen has."""
        yield from self.compose_record(action_of(DESK_ACTIONS, "close"))

    async def on_mount(self) -> None:
        """Show the first page."""
        await self.draw()
        self.notice("")

    async def draw(self) -> None:
        """Show the page from its top, or from the line that was picked last."""
        at = self._at
        with self.app.batch_update():
            self.show_question(at.question, can_cancel=at.ask is not None)
            typed = at.ask is not None and at.ask.take is not None
            lines = "Number of a line, then Enter" if at.offers else "No line to pick here"
            self.line.placeholder = "Type the answer, then Enter" if typed else lines
            await self.record.remove_children()
            await self.record.mount(self._help_entry() if self._help else self._entry())
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self._bring_in_view)

    def _bring_in_view(self) -> None:
        lines = {line.number: line for line in self.query(OfferLine)}
        if self._at.ask is None and self._at.last in lines:
            self.record.scroll_to_widget(lines[self._at.last], animate=False, force=True)
        else:
            self.record.scroll_home(animate=False)

    async def action_next(self) -> None:
        """Show the next lines, or the next entry where one is open."""
        await self.do(lambda: self._at.go(1))

    async def action_previous(self) -> None:
        """Show the lines before, or the entry before where one is open."""
        await self.do(lambda: self._at.go(-1))

    async def action_up(self) -> None:
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

    async def action_close(self) -> None:
        """Cancel a question, close help, empty the line, or else go back a page; the first page stays."""
        if self._at.ask or self._help or self.line.value or self._at.on_top:
            self.notice("")
            self._at.cancel()
            self._help = False
            self.line.value = ""
            await self.draw()
        else:
            await self.action_up()
