"""The screen of a visit: open, round, faults, closing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime
from functools import partial
from typing import ClassVar

from assistant.errors import AssistantError
from assistant.journal.records import Work
from assistant.journal.store import now
from assistant.languages import said, said_of, to_say
from assistant.model import Note
from assistant.tui.common.actions import Action, chosen
from assistant.tui.common.contracts import Asks, NoteById
from assistant.tui.common.entry import Entry
from assistant.tui.common.lined import LinedScreen
from assistant.tui.visit.at_visit import AtVisit, Page
from assistant.tui.visit.hearing import HearingScreen
from assistant.tui.visit.widgets import VisitEntry
from assistant.tui.visit.work_screen import WorkScreen
from assistant.tui.visit.working import Left
from assistant.visiting.kit import bag_lines, live_bag
from assistant.visiting.plan import TRAVEL, plan, plan_lines, read_travel
from assistant.visiting.recorder import Recorder
from assistant.visiting.words import outcome_word

__all__ = ["VisitScreen"]


class VisitScreen(HearingScreen[str]):
    """Opens a visit, records its stations and closes it; works are done on a screen above.

    It is dismissed with the asset label of the station in hand, empty where there is none. Whenever it is left, all is
    recorded already; what was typed as a question is given to the screen below.

    Parameters
    ----------
    recorder
        Records all that is done.
    asks
        Finds the note for a fault.
    note_by_id
        Returns a note of the pack.
    typed
        What is taken as typed at the start; empty for nothing.
    clock
        Tells the time; the same as the journal's.

    Raises
    ------
    JournalError
        If the journal cannot be read.
    """

    CSS_PATH = "visit.tcss"
    ACTIONS: ClassVar[tuple[Action, ...]] = chosen(
        "help",
        "undo",
        "open",
        "rest",
        "close",
        "record",
        "plan",
        "bag",
        "save",
        "copy",
        "back",
        "colours",
        "leave",
        "done",
    )
    TEXTS: ClassVar[tuple[str, ...]] = (
        to_say("On the round Enter lets the station on top pass, and the next one comes up."),
        to_say("Or type the asset label and how it is: A-0101 pass, A-0103 stick drifts. Or pick a line."),
        to_say("For a fault you are offered the notes that fit; nothing is recorded before you choose."),
        to_say("A station that is out of service stays so until you tell who released it, under what number and when."),
        to_say("A question that names no station is asked on the screen below; the visit stays open."),
    )

    def __init__(
        self,
        recorder: Recorder,
        asks: Asks,
        note_by_id: NoteById,
        *,
        typed: str = "",
        clock: Callable[[], datetime] = now,
    ) -> None:
        self._note_by_id = note_by_id
        self._first = typed
        self._clock = clock
        self._at = AtVisit(recorder, asks, note_by_id, self.begin_work)
        super().__init__(self._at, recorder, asks)

    async def on_mount(self) -> None:
        """Show how the visit stands, and take what was typed."""
        await super().on_mount()
        if self._first:
            await self.enter_text(self._first)

    @property
    def at_visit(self) -> AtVisit:
        """The visit as it stands."""
        return self._at

    @property
    def station(self) -> str:
        """The label of the station in hand, empty for none."""
        return self._at.station

    def hears(self, text: str) -> bool:
        """Tell whether words of harm are heard before a text is taken."""
        return self._at.hears(text)

    def entry(self) -> Entry:
        """Return what shows how the visit stands."""
        return VisitEntry(self._at, self._beside())

    def _beside(self) -> Iterator[str]:
        """Yield the lines of the plan or of the bag, or why there are none."""
        journal, trade = self._recorder.journal, self._recorder.trade
        travel = journal.path.parent / TRAVEL
        try:
            if self._at.page == "plan":
                minutes = read_travel(travel) if travel.exists() else None
                yield from plan_lines(plan(journal, self._recorder.today, minutes=minutes))
            elif self._at.page == "bag":
                yield from bag_lines(live_bag(journal, trade), trade)
        except AssistantError as error:
            yield str(error)

    def where(self) -> str:
        """Return the shop and how far the round is."""
        at = self._at
        if at.page == "closed" and at.closed:
            return said("Visit at {store}, closed", store=at.closed.store)
        if at.view is None:
            return said("Visit")
        head = said("Visit at {store}", store=at.view.visit.store)
        if not at.view.stations:
            return head
        return said_of(
            "{head}: {seen} of {n} station seen",
            "{head}: {seen} of {n} stations seen",
            len(at.view.stations),
            head=head,
            seen=len(at.view.seen),
        )

    def at_foot(self) -> tuple[str, ...]:
        """Return what can be done on this page."""
        at = self._at
        if at.ask:
            return ("help", "leave")
        if at.page == "round":
            return ("open", "close", "undo", "help")
        if at.page == "closed":
            return ("save", "copy", "help", "leave")
        return ("plan", "bag", "help", "leave") if at.page == "shop" else ("back", "help", "leave")

    @property
    def placeholder(self) -> str:
        """What the empty line says."""
        if self._at.ask and self._at.ask.take:
            return said("Type the answer, then Enter")
        if self._at.marked:
            return said("Enter does the line marked >")
        return said("Number or text, then Enter")

    @property
    def can_cancel(self) -> bool:
        """Whether Esc cancels something before it leaves."""
        return self._at.ask is not None or self._at.aside

    def leaves(self) -> bool:
        """Leave with a question that was typed, and let it be asked below."""
        question, self._at.to_ask = self._at.to_ask, ""
        below = self._below()
        if not question or below is None:
            return False
        self.dismiss("")
        below.call_later(below.enter_text, question)
        return True

    def _below(self) -> LinedScreen[None] | None:
        screens = self.app.screen_stack
        below = screens[screens.index(self) - 1]
        return below if isinstance(below, LinedScreen) else None

    def begin_work(self, work: Work, note: Note) -> None:
        """Show the screen of a work that has begun, or is to be gone on with."""
        screen = WorkScreen(self._recorder, work, note, self._asks, self._note_by_id, clock=self._clock)
        self.app.push_screen(screen, self._after_work)

    async def _after_work(self, left: Left | None) -> None:
        await self.do(self._at.look)
        if left:
            ended = (
                said("{outcome_word}. Recorded.", outcome_word=outcome_word(left.outcome))
                if left.outcome
                else said("not finished.")
            )
            self.notice(f"{left.work.station or left.work.title}: {ended}")

    async def _show(self, page: Page) -> None:
        await self.do(partial(self._at.show, page))

    async def action_open(self) -> None:
        """Show what is open here, or the round."""
        await self._show("open")

    async def action_plan(self) -> None:
        """Show which shops come next."""
        await self._show("plan")

    async def action_bag(self) -> None:
        """Show what is in the bag."""
        await self._show("bag")

    async def action_rest(self) -> None:
        """Show which stations pass when all the rest does."""
        await self.do(self._at.show_rest)

    async def action_close(self) -> None:
        """Show what closing would leave, and ask who takes the visit over."""
        await self.do(self._at.close)

    async def action_undo(self) -> None:
        """Take the last entry back."""
        await self.do(self._at.undo)

    async def action_record(self) -> None:
        """Ask what is to be recorded of the visit."""
        await self.do(self._at.record)

    async def action_back(self) -> None:
        """Go back to the round."""
        await self.do(self._at.back)

    def action_save(self) -> None:
        """Save the message and the report of the visit that was closed."""
        if self._at.closed is None:
            self.notice(said("Close the visit first: then its report and the message for the desk can be saved."))
            return
        folder = self.settings.folder
        try:
            path = self._at.closed.save(folder, self._clock())
        except OSError as error:
            self.notice(said("Not saved in {folder}: {told}.", folder=folder, told=error.strerror or error))
        else:
            self.notice(
                said(
                    "Saved in {folder}: {name}, and the report: {stem}.html.",
                    folder=folder,
                    name=path.name,
                    stem=path.stem,
                )
            )

    def action_copy(self) -> None:
        """Copy the message for the desk."""
        if self._at.closed is None:
            self.notice(said("Close the visit first: then the message for the desk can be copied."))
        else:
            self.copied(self._at.closed.message)

    async def action_escape(self) -> None:
        """Cancel a question, go back to the round, or else leave."""
        await super().action_escape()
        if self.is_current and self._at.said:
            self.notice(self._at.said)

    def action_leave(self) -> None:
        """Go back to the screen below, and say there that the visit stays open."""
        below, view = self._below(), self._at.view
        if below and view:
            below.notice(said("The visit at {store} stays open.", store=view.visit.store))
        self.dismiss(self._at.station if self._at.ask else "")
