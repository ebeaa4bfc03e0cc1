"""The screen on which a rep works through a note."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from assistant.journal.records import Work
from assistant.journal.store import now
from assistant.model import Note
from assistant.tui.common.actions import action_of, bindings
from assistant.tui.common.contracts import NoteById
from assistant.tui.common.offering import OfferingScreen
from assistant.tui.common.text import literal
from assistant.tui.visit.work_actions import WORK_ACTIONS
from assistant.tui.visit.work_widgets import Countdown, WorkEntry, WorkHelp
from assistant.tui.visit.working import Left, Working
from assistant.visiting.recorder import Recorder

__all__ = ["WorkScreen"]

_SHOWN_OF_CHAIN = 2
_WHERE = {"leads": "another note", "outcome": "how did it end?", "ended": "ended"}


class WorkScreen(OfferingScreen[Left]):
    """Works through a note, and through the notes that it leads to, in one screen.

    It is dismissed with the work that was in hand and how that ended. Whenever it is left, all is recorded already.

    Parameters
    ----------
    recorder
        Records all that is done.
    work
        A work that has begun; it is shown where it stands, with the works that led to it.
    note
        Its note.
    note_by_id
        Returns a note of the pack.
    clock
        Tells the time; the same as the journal's.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings(WORK_ACTIONS)]

    def __init__(
        self, recorder: Recorder, work: Work, note: Note, note_by_id: NoteById, *, clock: Callable[[], datetime] = now
    ) -> None:
        self._working = Working(recorder, work, note, note_by_id, clock)
        super().__init__(self._working)
        self._all_steps = False
        self._ticking = False

    def compose(self) -> ComposeResult:
        """Lay out the chain above what every such screen has."""
        yield Static(id="chain", markup=False)
        yield from self.compose_record(action_of(WORK_ACTIONS, "close"))

    async def on_mount(self) -> None:
        """Show where the work stands."""
        self.set_interval(1, self._count)
        await self.draw()
        self.notice(self._working.said)

    @property
    def at_work(self) -> Working:
        """The work as it stands."""
        return self._working

    async def draw(self) -> None:
        """Show where the work stands."""
        working = self._working
        entry = WorkHelp() if self._help else WorkEntry(working, all_steps=self._all_steps)
        with self.app.batch_update():
            self.query_one("#chain", Static).update(literal(self._chain()))
            self.show_question(working.ask.question if working.ask else "", can_cancel=working.ask is not None)
            self.line.placeholder = self._placeholder()
            await self.record.remove_children()
            await self.record.mount(entry)
        self._ticking = bool(working.seconds_left)
        self.line.focus(scroll_visible=False)
        self.call_after_refresh(self._bring_into_view, entry)

    def _placeholder(self) -> str:
        if self._working.ask and self._working.ask.take:
            return "Type the answer, then Enter"
        return "Number of a line, then Enter" if self._working.offers else "Use a key, or tap a line"

    def _chain(self) -> str:
        at = self._working.at
        titles = [work.title for work in at.chain]
        shown = (["..."] if len(titles) > _SHOWN_OF_CHAIN else []) + titles[-_SHOWN_OF_CHAIN:]
        where = _WHERE.get(self._working.stage, f"step {at.walk.step} of {len(at.note.steps)}")
        return f"{' > '.join(shown)}: {where}"

    def _bring_into_view(self, entry: WorkEntry | WorkHelp) -> None:
        """Begin at the top where the work begins, and else at what has to be read or done now."""
        at = self._working.at
        in_hand = entry.in_hand if isinstance(entry, WorkEntry) else None
        if in_hand is None or not (at.acts or self._all_steps):
            self.record.scroll_home(animate=False)
        else:
            self.record.scroll_to_widget(in_hand, top=True, animate=False, force=True)

    def _count(self) -> None:
        """Show the countdown, and say once when it is over."""
        left = self._working.seconds_left
        for countdown in self.query(Countdown):
            countdown.show(left)
        if self._ticking and left == 0:
            self.notice("The time is up.")
        self._ticking = bool(left)

    def leaves(self) -> bool:
        """Leave where the work was closed."""
        if self._working.closed:
            self.dismiss(self._working.result)
        return self._working.closed

    async def action_read(self) -> None:
        """Acknowledge the safety message, once it is in view."""
        box = next(iter(self.query(".safety.-waiting")), None)
        if box is not None and not self._in_view(box.region.y, box.region.bottom):
            self.notice("Read this message first, then press again.")
            self.record.scroll_to_widget(box, top=True, animate=False, force=True)
        else:
            await self.do(self._working.read)

    def _in_view(self, top: int, bottom: int) -> bool:
        """Tell whether what lies between two lines of the screen is in view, or its end where it is too long."""
        view = self.record.region
        return view.y < bottom <= view.bottom and (top >= view.y or bottom - top > view.height)

    async def action_done(self) -> None:
        """Tick the step."""
        await self.do(self._working.done)

    async def action_skip(self) -> None:
        """Ask why the step is skipped."""
        await self.do(self._working.skip)

    async def action_wait(self) -> None:
        """Start the countdown."""
        await self.do(self._working.wait)

    async def action_back(self) -> None:
        """Go back to the step before."""
        await self.do(self._working.back)

    async def action_record(self) -> None:
        """Ask what is to be recorded."""
        await self.do(self._working.record)

    async def action_end(self) -> None:
        """Ask for the outcome."""
        await self.do(self._working.end)

    async def action_steps(self) -> None:
        """Show all steps, or one at a time."""
        self._all_steps = not self._all_steps
        self._help = False
        await self.draw()

    def action_leave(self) -> None:
        """Leave the work as it stands."""
        self.dismiss(self._working.result)
