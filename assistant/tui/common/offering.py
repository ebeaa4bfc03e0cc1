"""What the screens have in common whose line answers numbered lines and questions."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import ScreenResultType
from textual.widgets import Static

from assistant.errors import AssistantError
from assistant.languages import said
from assistant.tui.common.actions import Action, action_of
from assistant.tui.common.asking import Ask
from assistant.tui.common.entry import Entry
from assistant.tui.common.lined import LinedScreen
from assistant.tui.common.pressable import ActionLine, OfferLine, Pressable
from assistant.tui.common.text import literal

__all__ = ["Offering", "OfferingScreen"]


class Offering(Protocol):
    """What the line answers.

    ``said`` is what came of the last thing done, ``ask`` the question on the line, ``question`` what the line takes
    now, in words. ``marked`` is the number of the line that Enter on the empty line takes, 0 for none: none is where a
    slip could hurt.
    """

    said: str
    ask: Ask | None

    @property
    def question(self) -> str:
        """What the line takes now."""

    @property
    def marked(self) -> int:
        """The number of the line that Enter on the empty line takes."""

    def take(self, text: str) -> None:
        """Take what was typed on the line; empty where nothing is marked."""

    def pick(self, number: int) -> None:
        """Take a numbered line, from 1."""

    def cancel(self) -> bool:
        """Drop the question on the line, and tell whether there was one."""


class OfferingScreen(LinedScreen[ScreenResultType]):
    """A screen over an `Offering`: it does what is typed or pressed, and says what is refused."""

    def __init__(self, offering: Offering) -> None:
        super().__init__()
        self._offering = offering
        self._help = False

    def compose_asking(self) -> ComposeResult:
        """Lay out the question that is asked, and how to cancel it."""
        with Horizontal(id="asking"):
            yield Static(id="asked-for", markup=False)
            yield ActionLine(action_of("escape"))

    async def on_mount(self) -> None:
        """Show how things stand."""
        await self.draw()
        self.notice(self._offering.said)

    def entry(self) -> Entry:
        """Return what shows how things stand."""
        raise NotImplementedError

    def where(self) -> str:
        """Return the words of the head; empty for none."""
        return ""

    def at_foot(self) -> tuple[str, ...]:
        """Return the ids of the three or four actions at the foot."""
        return ("help", "leave")

    @property
    def placeholder(self) -> str:
        """What the empty line says."""
        if self._offering.ask and self._offering.ask.take:
            return said("Type the answer, then Enter")
        return said("Number of a line, then Enter")

    @property
    def can_cancel(self) -> bool:
        """Whether Esc cancels something before it leaves."""
        return self._offering.ask is not None

    async def draw(self) -> None:
        """Show how things stand."""
        with self.app.batch_update():
            self.head(self.where())
            question = self._offering.question
            self.query_one("#asking").display = bool(question)
            self.query_one("#asked-for", Static).update(literal(question))
            self.query_one("#asking ActionLine").display = self.can_cancel
            self.line.placeholder = self.placeholder
            entry = self.help_entry() if self._help else self.entry()
            await self.record.remove_children()
            await self.record.mount(entry)
            self.foot(*self.at_foot())
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self.bring_into_view, entry)

    def bring_into_view(self, entry: Entry) -> None:
        """Scroll to what has to be seen of the entry that was drawn: its top."""
        self.record.scroll_home(animate=False)

    def leaves(self) -> bool:
        """Tell whether the screen is to be left after what was done; it is left then."""
        return False

    async def do(self, what: Callable[[], object]) -> None:
        """Do something and show what came of it; what is refused is said in words, and help is only closed."""
        self._offering.said = ""
        self.line.value = ""
        if not self._help:
            try:
                what()
            except AssistantError as error:
                self.notice(str(error))
                return
        if self.leaves():
            return
        self._help = False
        self.notice(self._offering.said)
        await self.draw()

    def named(self, text: str) -> Action | None:
        """Return the action that was named; while an answer is asked for, a letter is one at the foot."""
        action = super().named(text)
        answers = self._offering.ask is not None and self._offering.ask.take is not None and len(text) == 1
        return None if answers and action and action.id not in self.at_foot() else action

    async def enter_text(self, text: str) -> None:
        """Take a number, or an answer."""
        await self.do(lambda: self._offering.take(text))

    async def enter_empty(self) -> None:
        """Take the line that is marked, or else the empty answer."""
        marked = self._offering.marked
        await self.do(lambda: self._offering.pick(marked) if marked else self._offering.take(""))

    async def press(self, pressed: Pressable) -> None:
        """Take a numbered line."""
        if isinstance(pressed, OfferLine):
            await self.do(lambda: self._offering.pick(pressed.number))

    async def action_help(self) -> None:
        """Open help, or close it."""
        self._help = not self._help
        await self.draw()

    def action_leave(self) -> None:
        """Leave the screen; all is recorded already."""
        self.dismiss()

    async def action_escape(self) -> None:
        """Cancel a question, close help or empty the line; leave where there is none of these."""
        self.notice("")
        if self._offering.cancel() or self._help or self.line.value:
            self._help = False
            self.line.value = ""
            await self.draw()
        else:
            self.action_leave()
