"""The screen on which a rep works through a note."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import ClassVar

from assistant.errors import AssistantError
from assistant.journal.records import Work
from assistant.journal.store import now
from assistant.languages import said, to_say
from assistant.model import Note
from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.common.entry import Entry
from assistant.tui.visit.hearing import HearingScreen
from assistant.tui.visit.work_widgets import Countdown, WorkEntry
from assistant.tui.visit.working import Left, Working
from assistant.visiting.recorder import Recorder

__all__ = ["WorkScreen"]

_WHERE = {"leads": to_say("another note"), "outcome": to_say("at the end"), "ended": to_say("ended")}


class WorkScreen(HearingScreen[Left]):
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
    asks
        Hears words of harm, and knows on whom to call.
    note_by_id
        Returns a note of the pack.
    clock
        Tells the time; the same as the journal's.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """

    CSS_PATH = "visit.tcss"
    ACTIONS: ClassVar[tuple[Action, ...]] = chosen(
        "help", "record", "skip", "time", "back", "end", "all", "undo", "colours", "leave", "done", "read"
    )
    TEXTS: ClassVar[tuple[str, ...]] = (
        to_say("Do the step in hand, then press Enter: the next one comes up. All is recorded at once."),
        to_say("A step behind a safety message is locked until you have read the message and pressed Space."),
        to_say("Where the step asks what you found, type the number of the line."),
        to_say("> marks the step in hand."),
    )

    def __init__(
        self,
        recorder: Recorder,
        work: Work,
        note: Note,
        asks: Asks,
        note_by_id: NoteById,
        *,
        clock: Callable[[], datetime] = now,
    ) -> None:
        self._working = Working(recorder, work, note, note_by_id, clock)
        super().__init__(self._working, recorder, asks)
        self._note_by_id = note_by_id
        self._clock = clock
        self._emergency: tuple[str, str] = ("", "")
        self._all_steps = False
        self._ticking = False

    async def on_mount(self) -> None:
        """Show where the work stands."""
        self.set_interval(1, self._count)
        await super().on_mount()

    @property
    def at_work(self) -> Working:
        """The work as it stands."""
        return self._working

    def entry(self) -> Entry:
        """Return what shows where the work stands."""
        return WorkEntry(self._working, all_steps=self._all_steps, emergency=self.emergency)

    @property
    def station(self) -> str:
        """The label of the station in hand, empty for none."""
        return self._working.at.work.station

    @property
    def emergency(self) -> str:
        """On whom to call where the note in hand deals with harm, else empty."""
        note = self._working.at.note.id
        if self._emergency[0] != note:
            try:
                self._emergency = note, self._asks.show(note)[0].emergency
            except AssistantError:  # a note that this pack lacks
                self._emergency = note, ""
        return self._emergency[1]

    def begin_work(self, work: Work, note: Note) -> None:
        """Show another work above this one, which stays open; one that is in hand already is gone on with."""
        if work.id not in {above.id for above in self._working.at.chain}:
            screen = WorkScreen(self._recorder, work, note, self._asks, self._note_by_id, clock=self._clock)
            self.app.push_screen(screen)

    async def draw(self) -> None:
        """Show where the work stands."""
        await super().draw()
        self._ticking = bool(self._working.seconds_left)

    @property
    def placeholder(self) -> str:
        """What the empty line says: how to go on."""
        working = self._working
        if working.ask:
            return super().placeholder
        if working.must_read:
            return said("Read it, then press Space")
        if working.marked:
            return said("Enter does the line marked >")
        return said("Number of a line, then Enter") if working.offers else said("Enter when it is done")

    def where(self) -> str:
        """Return the station, the step and the note, shortest first, since the end may be cut."""
        at = self._working.at
        where = (
            said(_WHERE[self._working.stage])
            if self._working.stage in _WHERE
            else said("step {step} of {len}", step=at.walk.step, len=len(at.note.steps))
        )
        before = "... > " if len(at.chain) > 1 else ""
        return ", ".join(filter(None, (at.work.station, where))) + f": {before}{at.work.title}"

    def at_foot(self) -> tuple[str, ...]:
        """Return what can be done now."""
        working = self._working
        if working.ask:
            return ("help", "leave")
        if working.stage != "step":
            return ("record", "leave", "help") if working.at.ended else ("back", "record", "leave", "help")
        back = ("back",) if working.at.walk.trail else ()
        if working.must_read:
            return (*back, "record", "end", "help")
        if working.at.wait_seconds and not working.at.walk.waiting:
            return ("time", "skip", "end", "help")
        return ("skip", *back, "end", "help")

    def bring_into_view(self, entry: Entry) -> None:
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
            self.notice(said("The time is up."))
        self._ticking = bool(left)

    def leaves(self) -> bool:
        """Leave where the work is over."""
        if self._working.closed:
            self.dismiss(self._working.result)
        return self._working.closed

    async def enter_empty(self) -> None:
        """Take the line that is marked, or tick the step in hand once it is in view."""
        working = self._working
        entry = next(iter(self.query(WorkEntry)), None)
        step = entry.in_hand if entry else None
        ticks = working.stage == "step" and not (working.ask or working.must_read or working.offers)
        if ticks and step and not self._in_view(step.region.y, step.region.bottom):
            self.notice(said("Read the step first, then press Enter again."))
            self.record.scroll_to_widget(step, top=True, animate=False, force=True)
        else:
            await super().enter_empty()

    async def action_read(self) -> None:
        """Acknowledge the safety message, once it is in view."""
        box = next(iter(self.query(".safety.-waiting")), None)
        if box is not None and not self._in_view(box.region.y, box.region.bottom):
            self.notice(said("Read this message first, then press Space again."))
            self.record.scroll_to_widget(box, top=True, animate=False, force=True)
        else:
            await self.do(self._working.read)

    def _in_view(self, top: int, bottom: int) -> bool:
        """Tell whether what lies between two lines of the screen is in view, or its end where it is too long."""
        view = self.record.region
        return view.y < bottom <= view.bottom and (top >= view.y or bottom - top > view.height)

    async def action_skip(self) -> None:
        """Ask why the step is skipped."""
        await self.do(self._working.skip)

    async def action_time(self) -> None:
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

    async def action_undo(self) -> None:
        """Take the last entry back."""
        await self.do(self._working.undo)

    async def action_all(self) -> None:
        """Show all steps, or one at a time."""
        self._all_steps = not self._all_steps
        self._help = False
        await self.draw()

    async def action_escape(self) -> None:
        """Cancel a question, close help, or else leave."""
        await super().action_escape()
        if self.is_current and self._working.said:
            self.notice(self._working.said)

    def action_leave(self) -> None:
        """Leave the work as it stands."""
        self.dismiss(self._working.result)
