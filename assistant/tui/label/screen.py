"""The screen on which questions are labelled."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.widgets import Static

from assistant.tui.common.actions import action_of, bindings, key_name
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.label.actions import LABEL_ACTIONS
from assistant.tui.label.labelling import Labelling
from assistant.tui.label.widgets import LabelEntry, LabelHelp

__all__ = ["LabelScreen"]


class LabelScreen(OfferingScreen[None]):
    """Shows one question at a time and its candidates.

    Parameters
    ----------
    labelling
        The way through the questions. Whatever is judged is on the disk before it is shown.
    """

    CSS_PATH = "label.tcss"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings(LABEL_ACTIONS)]

    def __init__(self, labelling: Labelling) -> None:
        super().__init__(labelling)
        self._at = labelling
        self._drawn: tuple[object, ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out how far one is, above what every such screen has."""
        yield Static(id="progress", markup=False)
        yield from self.compose_record(action_of(LABEL_ACTIONS, "close"))

    async def on_mount(self) -> None:
        """Show the first question that is not judged."""
        await self.draw()
        self.notice(self._at.said)

    async def draw(self) -> None:
        """Show the question in hand; where it was drawn before, as far down as it was."""
        at = self._at
        shown = (at.place, at.opened, at.ask, self._help)
        down = self.record.scroll_y if shown == self._drawn else 0
        self._drawn = shown
        with self.app.batch_update():
            self.query_one("#progress", Static).update(Content(at.progress))
            self.show_question(at.question, can_cancel=at.ask is not None or at.opened is not None)
            self.line.placeholder = "Number or words, then Enter"
            await self.record.remove_children()
            await self.record.mount(LabelHelp() if self._help else LabelEntry(at))
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self.record.scroll_to, y=down, animate=False)

    async def action_uncovered(self) -> None:
        """Judge that no note answers the question."""
        await self.do(self._at.uncovered)

    async def action_unsure(self) -> None:
        """Leave the question out of the labels."""
        await self.do(self._at.unsure)

    async def action_steps(self) -> None:
        """Open or close the note last marked."""
        await self.do(self._at.steps)

    async def action_previous_question(self) -> None:
        """Go to the question before."""
        await self.do(self._at.previous)

    async def action_next_question(self) -> None:
        """Go to the next question."""
        await self.do(self._at.next)

    async def action_first_open(self) -> None:
        """Go to the first question that is not judged."""
        await self.do(self._at.first_open)

    async def action_find(self) -> None:
        """Ask for words of a note."""
        await self.do(self._at.find)

    async def action_close(self) -> None:
        """Cancel a question, close help or the note, or empty the line; it does not leave."""
        if self._at.ask or self._at.opened or self._help or self.line.value:
            await super().action_close()
        else:
            self.notice(f"All is saved. {key_name(action_of(LABEL_ACTIONS, 'leave').keys[0])} leaves.")
