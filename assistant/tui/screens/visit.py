"""The screen of a visit: open, round, faults, closing."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.widgets import Input, Static

from assistant.errors import AssistantError
from assistant.journal.records import Work
from assistant.journal.store import now
from assistant.model import Note
from assistant.tui.at_visit import AtVisit
from assistant.tui.contracts import Asks, NoteById
from assistant.tui.screens.lined import LinedScreen
from assistant.tui.screens.work import WorkScreen
from assistant.tui.standing import outcome_word
from assistant.tui.text import literal, printable
from assistant.tui.visit_actions import visit_action, visit_bindings
from assistant.tui.widgets.more import MoreLine
from assistant.tui.widgets.pressable import ActionKey, Pressable
from assistant.tui.widgets.record import Record
from assistant.tui.widgets.visit import VisitEntry, VisitHelp
from assistant.tui.widgets.work import OfferLine
from assistant.tui.working import Left
from assistant.visiting.recorder import Recorder

__all__ = ["VisitScreen"]


class VisitScreen(LinedScreen[str]):
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

    BINDINGS: ClassVar[list[BindingType]] = [*visit_bindings()]
    PROMPT = "> "

    def __init__(
        self, recorder: Recorder, asks: Asks, note_by_id: NoteById, *, clock: Callable[[], datetime] = now
    ) -> None:
        super().__init__()
        self._recorder = recorder
        self._note_by_id = note_by_id
        self._clock = clock
        self._at = AtVisit(recorder, asks, note_by_id, self._begin_work)
        self._help = False

    def compose(self) -> ComposeResult:
        """Lay out the record, what is below it, the question that is asked and the line."""
        record = Record(id="record")
        yield record
        yield MoreLine(record)
        with Horizontal(id="asking"):
            yield Static(id="asked-for", markup=False)
            yield ActionKey(visit_action("close"))
        yield from self.compose_line()

    async def on_mount(self) -> None:
        """Show how the visit stands."""
        await self._draw()
        self.notice("")

    @property
    def at_visit(self) -> AtVisit:
        """The visit as it stands."""
        return self._at

    async def _draw(self) -> None:
        at = self._at
        with self.app.batch_update():
            self.query_one("#asking").display = bool(at.question)
            self.query_one("#asked-for", Static).update(literal(at.question))
            self.query_one("#asking ActionKey").display = at.ask is not None
            typed = at.ask.take is not None if at.ask else at.page in {"shop", "round"}
            self.line.placeholder = "Type the answer, then Enter" if typed else "Number of a line, then Enter"
            await self.record.remove_children()
            await self.record.mount(VisitHelp() if self._help else VisitEntry(at))
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self.record.scroll_home, animate=False)

    async def _do(self, what: Callable[[], object]) -> None:
        """Do something and show what came of it; what is refused is said in words, and help is only closed."""
        self._at.said = ""
        if not self._help:
            try:
                what()
            except AssistantError as error:
                self.notice(str(error))
                return
        self._help = False
        self.line.value = ""
        self.notice(self._at.said)
        await self._draw()

    def _begin_work(self, work: Work, note: Note) -> None:
        screen = WorkScreen(self._recorder, work, note, self._note_by_id, clock=self._clock)
        self.app.push_screen(screen, self._after_work)

    async def _after_work(self, left: Left | None) -> None:
        await self._do(self._at.look)
        if left:
            ended = f"{outcome_word(left.outcome)}. Recorded." if left.outcome else "not finished."
            self.notice(f"{left.work.station or left.work.note}: {ended}")

    @on(Input.Submitted)
    async def _submitted(self, event: Input.Submitted) -> None:
        text = printable(event.value)
        await self._do(lambda: self._at.take(text))

    @on(Pressable.Pressed)
    async def _pressed(self, event: Pressable.Pressed) -> None:
        self.line.focus(scroll_visible=False)
        pressed = event.pressed
        if not pressed.is_attached:
            return
        if isinstance(pressed, ActionKey):
            await self.run_action(pressed.action_id)
        elif isinstance(pressed, OfferLine):
            await self._do(lambda: self._at.pick(pressed.number))

    async def action_open_points(self) -> None:
        """Show what is open here, or the round."""
        await self._do(self._at.show_open)

    async def action_close_visit(self) -> None:
        """Show what closing would leave."""
        await self._do(self._at.close_visit)

    async def action_help(self) -> None:
        """Open help, or close it."""
        self._help = not self._help
        await self._draw()

    async def action_close(self) -> None:
        """Cancel a question, close help or empty the line; go back where there is none of these."""
        self.notice("")
        if self._at.cancel() or self._help or self.line.value:
            self._help = False
            self.line.value = ""
            await self._draw()
        else:
            self.action_leave()

    def action_ask(self) -> None:
        """Go to the questions with the station in hand."""
        self.dismiss(self._at.station)

    def action_leave(self) -> None:
        """Go back to the questions."""
        self.dismiss("")
