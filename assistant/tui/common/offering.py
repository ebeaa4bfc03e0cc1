"""What the screens have in common whose line answers numbered lines and questions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import ScreenResultType
from textual.widgets import Input, Static

from assistant.errors import AssistantError
from assistant.tui.common.actions import Action
from assistant.tui.common.lined import LinedScreen
from assistant.tui.common.more import MoreLine
from assistant.tui.common.pressable import ActionKey, OfferLine, Pressable
from assistant.tui.common.record import Record
from assistant.tui.common.text import literal, printable

__all__ = ["Offering", "OfferingScreen"]


class Offering(Protocol):
    """What the line answers; ``said`` is what came of the last thing done."""

    said: str

    def take(self, text: str) -> None:
        """Take what was typed on the line."""

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""


class OfferingScreen(LinedScreen[ScreenResultType]):
    """A screen over an `Offering`: it does what is typed or pressed, and says what is refused."""

    PROMPT = "> "

    def __init__(self, offering: Offering) -> None:
        super().__init__()
        self._offering = offering
        self._help = False

    def compose_record(self, cancel: Action) -> ComposeResult:
        """Lay out the record, what is below it, the question that is asked and the line."""
        record = Record(id="record")
        yield record
        yield MoreLine(record)
        with Horizontal(id="asking"):
            yield Static(id="asked-for", markup=False)
            yield ActionKey(cancel)
        yield from self.compose_line()

    def show_question(self, question: str, *, can_cancel: bool) -> None:
        """Show what is asked above the line; nothing where it is empty."""
        self.query_one("#asking").display = bool(question)
        self.query_one("#asked-for", Static).update(literal(question))
        self.query_one("#asking ActionKey").display = can_cancel

    async def draw(self) -> None:
        """Show how things stand."""
        raise NotImplementedError

    def leaves(self) -> bool:
        """Tell whether the screen is to be left after what was done; it is left then."""
        return False

    async def do(self, what: Callable[[], object]) -> None:
        """Do something and show what came of it; what is refused is said in words, and help is only closed."""
        self._offering.said = ""
        if not self._help:
            try:
                what()
            except AssistantError as error:
                self.notice(str(error))
                return
        if self.leaves():
            return
        self._help = False
        self.line.value = ""
        self.notice(self._offering.said)
        await self.draw()

    @on(Input.Submitted)
    async def _submitted(self, event: Input.Submitted) -> None:
        text = printable(event.value)
        await self.do(lambda: self._offering.take(text))

    @on(Pressable.Pressed)
    async def _pressed(self, event: Pressable.Pressed) -> None:
        self.line.focus(scroll_visible=False)
        pressed = event.pressed
        if not pressed.is_attached:
            return
        if isinstance(pressed, ActionKey):
            await self.run_action(pressed.action_id)
        elif isinstance(pressed, OfferLine):
            await self.do(lambda: self._offering.pick(pressed.number))

    async def action_help(self) -> None:
        """Open help, or close it."""
        self._help = not self._help
        await self.draw()

    def action_leave(self) -> None:
        """Leave the screen; all is recorded already."""
        self.dismiss()

    async def action_close(self) -> None:
        """Cancel a question, close help or empty the line; leave where there is none of these."""
        self.notice("")
        if self._offering.cancel() or self._help or self.line.value:
            self._help = False
            self.line.value = ""
            await self.draw()
        else:
            self.action_leave()
