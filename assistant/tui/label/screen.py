"""The screen on which questions are labelled."""

from __future__ import annotations

from typing import ClassVar

from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.entry import Entry
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.label.labelling import Labelling
from assistant.tui.label.widgets import LabelEntry

__all__ = ["LabelScreen"]


class LabelScreen(OfferingScreen[None]):
    """Shows one question at a time and its candidates.

    Parameters
    ----------
    labelling
        The way through the questions. Whatever is judged is on the disk before it is shown.
    """

    CSS_PATH = "label.tcss"
    ACTIONS: ClassVar[tuple[Action, ...]] = chosen(
        "uncovered", "unsure", "inside", "next", "previous", "open", "help", "colours", "leave"
    )
    TEXTS: ClassVar[tuple[str, ...]] = (
        "Read the question as the rep who stands there. Mark the note that helps first by its number.",
        "Mark a further note only where it would serve as well. The same number again takes a mark back.",
        "Is the right note not there? Type words of it, or its id. Does no note answer it? Mark it uncovered.",
        "+ and a place stand before what is marked. Every mark is saved at once. Enter alone goes on.",
    )

    def __init__(self, labelling: Labelling) -> None:
        super().__init__(labelling)
        self._at = labelling
        self._drawn: tuple[object, ...] = ()
        self._down = 0.0

    def entry(self) -> Entry:
        """Return the question in hand."""
        return LabelEntry(self._at)

    def where(self) -> str:
        """Return how many questions are done."""
        return self._at.progress

    def at_foot(self) -> tuple[str, ...]:
        """Return what is done most."""
        return ("help",) if self._at.ask else ("uncovered", "unsure", "inside", "help")

    @property
    def placeholder(self) -> str:
        """What the empty line says."""
        return "Number or words, then Enter"

    @property
    def can_cancel(self) -> bool:
        """Whether a question is on the line, or a note open."""
        return self._at.ask is not None or self._at.opened is not None

    async def draw(self) -> None:
        """Show the question in hand; where it was drawn before, as far down as it was."""
        at = self._at
        shown = (at.place, at.opened, at.ask, self._help)
        self._down = self.record.scroll_y if shown == self._drawn else 0
        self._drawn = shown
        await super().draw()

    def bring_into_view(self, entry: Entry) -> None:
        """Scroll as far down as it was."""
        self.record.scroll_to(y=self._down, animate=False)

    async def action_uncovered(self) -> None:
        """Judge that no note answers the question."""
        await self.do(self._at.uncovered)

    async def action_unsure(self) -> None:
        """Leave the question out of the labels."""
        await self.do(self._at.unsure)

    async def action_inside(self) -> None:
        """Open or close the note last marked."""
        await self.do(self._at.steps)

    async def action_previous(self) -> None:
        """Go to the question before."""
        await self.do(self._at.previous)

    async def action_next(self) -> None:
        """Go to the next question."""
        await self.do(self._at.next)

    async def action_open(self) -> None:
        """Go to the first question that is not judged."""
        await self.do(self._at.first_open)

    async def action_escape(self) -> None:
        """Cancel a question, close help or the note, or empty the line; it does not leave."""
        if self._at.ask or self._at.opened or self._help or self.line.value:
            await super().action_escape()
        else:
            self.notice("All is saved. To close the program, type leave")
