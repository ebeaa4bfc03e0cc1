"""The screen of a visit: open, round, faults, closing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType

from assistant.journal.records import Work
from assistant.journal.store import now
from assistant.model import Note
from assistant.tui.common.actions import action_of, bindings
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.visit.actions import VISIT_ACTIONS
from assistant.tui.visit.at_visit import AtVisit
from assistant.tui.visit.standing import outcome_word
from assistant.tui.visit.widgets import VisitEntry, VisitHelp
from assistant.tui.visit.work_screen import WorkScreen
from assistant.tui.visit.working import Left
from assistant.visiting.recorder import Recorder

__all__ = ["VisitScreen"]


class VisitScreen(OfferingScreen[str]):
    """Opens a visit, records its stations and closes it; works are done on a screen above.

    It is dismissed with the asset label of the station in hand, empty where there is none. Whenever it is left, all is
    recorded already.

    Parameters
    ----------
    recorder
        Records all that is done.
    asks
        Finds the note for a fault.
    note_by_id
        Returns a note of the pack.
    clock
        Tells the time; the same as the journal's.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(VISIT_ACTIONS)]

    def __init__(
        self, recorder: Recorder, asks: Asks, note_by_id: NoteById, *, clock: Callable[[], datetime] = now
    ) -> None:
        self._recorder = recorder
        self._note_by_id = note_by_id
        self._clock = clock
        self._at = AtVisit(recorder, asks, note_by_id, self._begin_work)
        super().__init__(self._at)

    def compose(self) -> ComposeResult:
        """Lay out what every such screen has."""
        yield from self.compose_record(action_of(VISIT_ACTIONS, "close"))

    async def on_mount(self) -> None:
        """Show how the visit stands."""
        await self.draw()
        self.notice("")

    @property
    def at_visit(self) -> AtVisit:
        """The visit as it stands."""
        return self._at

    async def draw(self) -> None:
        """Show how the visit stands."""
        at = self._at
        with self.app.batch_update():
            self.show_question(at.question, can_cancel=at.ask is not None)
            typed = at.ask.take is not None if at.ask else at.page in {"shop", "round"}
            self.line.placeholder = "Type the answer, then Enter" if typed else "Number of a line, then Enter"
            await self.record.remove_children()
            await self.record.mount(VisitHelp() if self._help else VisitEntry(at))
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self.record.scroll_home, animate=False)

    def _begin_work(self, work: Work, note: Note) -> None:
        screen = WorkScreen(self._recorder, work, note, self._note_by_id, clock=self._clock)
        self.app.push_screen(screen, self._after_work)

    async def _after_work(self, left: Left | None) -> None:
        await self.do(self._at.look)
        if left:
            ended = f"{outcome_word(left.outcome)}. Recorded." if left.outcome else "not finished."
            self.notice(f"{left.work.station or left.work.title}: {ended}")

    async def action_open_points(self) -> None:
        """Show what is open here, or the round."""
        await self.do(self._at.show_open)

    async def action_close_visit(self) -> None:
        """Show what closing would leave."""
        await self.do(self._at.close_visit)

    def action_ask(self) -> None:
        """Go to the questions with the station in hand; not while a fault is being recorded."""
        if self._at.ask and self._at.ask.holds:
            self.notice("Pick one of the numbered lines first, or press Esc.")
        else:
            self.dismiss(self._at.station)

    def action_leave(self) -> None:
        """Go back to the questions."""
        self.dismiss("")
