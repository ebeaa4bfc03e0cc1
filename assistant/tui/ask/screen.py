"""The one screen: the record over the question line."""

from __future__ import annotations

import re
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Input

from assistant.answering.converse import Conversation
from assistant.errors import AssistantError, ExitCode
from assistant.journal.records import Question
from assistant.model import Answer
from assistant.tui.common.actions import bindings
from assistant.tui.common.contracts import Asks, NoteById, ToText
from assistant.tui.common.entry import AnswerEntry, Entry, HelpEntry, Welcome
from assistant.tui.common.lined import LinedScreen
from assistant.tui.common.more import MoreLine
from assistant.tui.common.pressable import ActionKey, AskedLine, Choice, Example, Pressable, SeeNote
from assistant.tui.common.record import Record
from assistant.tui.common.saving import save_answer
from assistant.tui.common.text import printable
from assistant.tui.visit.screen import VisitScreen
from assistant.tui.visit.standing import OUTCOME_WORDS
from assistant.tui.visit.work_screen import WorkScreen
from assistant.tui.visit.working import Left
from assistant.visiting.recorder import Recorder

__all__ = ["StationScreen"]

NO_JOURNAL = "There is no journal to record in; the message at the start says why."
_NUMBER = re.compile(r"[1-9]\Z")


class StationScreen(LinedScreen[None]):
    """Asks and shows.

    Parameters
    ----------
    asks
        Answers the questions.
    to_text
        Returns an answer as the plain text that is saved.
    note_by_id
        Returns a note of the pack.
    recorder
        Records visits, work and questions; None where there is no journal.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]

    def __init__(self, asks: Asks, to_text: ToText, note_by_id: NoteById, recorder: Recorder | None = None) -> None:
        super().__init__()
        self._asks = asks
        self._to_text = to_text
        self._note_by_id = note_by_id
        self._recorder = recorder
        self._at_station = ""
        self._conversation = Conversation()
        self._tried: set[str] = set()

    def compose(self) -> ComposeResult:
        """Lay out the record, what is below it, the notice and the question line."""
        record = Record(id="record")
        yield record
        yield MoreLine(record)
        yield from self.compose_line()

    async def on_mount(self) -> None:
        """Show the welcome."""
        self.notice("")
        await self.record.add(Welcome())

    @on(Input.Submitted)
    async def _submitted(self, event: Input.Submitted) -> None:
        question = printable(event.value)
        self.notice("")
        if not question:
            self.notice("Type what is wrong, then press Enter.")
            return
        newest = self.record.newest
        choices = newest.choices() if newest else []
        if _NUMBER.match(question) and int(question) <= len(choices):
            self.line.value = ""
            await self._take(choices[int(question) - 1])
        elif isinstance(newest, AnswerEntry) and question.lower() in newest.named:
            self.line.value = ""
            await self._show(question.lower(), newest)
        else:
            await self._ask(question)

    @on(Pressable.Pressed)
    async def _pressed(self, event: Pressable.Pressed) -> None:
        self.line.focus(scroll_visible=False)
        self.notice("")
        pressed = event.pressed
        if isinstance(pressed, ActionKey):
            await self.run_action(pressed.action_id)
        elif isinstance(pressed, AskedLine):
            self.line.value = pressed.question
            self.line.cursor_position = len(pressed.question)
        elif isinstance(pressed, Choice):
            await self._take(pressed)
        elif isinstance(pressed, SeeNote):
            await self._show(pressed.target, self._entry_of(pressed))

    async def _take(self, choice: Choice) -> None:
        if isinstance(choice, Example):
            await self._ask(choice.question)
        else:
            await self._show(choice.target, self._entry_of(choice))

    def _entry_of(self, pressed: Pressable) -> AnswerEntry:
        return next(above for above in pressed.ancestors if isinstance(above, AnswerEntry))

    async def _ask(self, question: str) -> None:
        try:
            answer, self._conversation = self._asks.ask(question, self._conversation)
        except AssistantError as error:
            self.notice(str(error))
            return
        self.line.remember(question)
        self._tried = {answer.note.id} if answer.note else set()
        await self._put(AnswerEntry(answer, question, self._keep(answer)))

    async def _show(self, note_id: str, entry: AnswerEntry) -> None:
        """Show a note that was picked from an entry; the others stay at hand."""
        try:
            others = [option.id for option in entry.pool]
            answer, self._conversation = self._asks.show(note_id, question=entry.question, others=others)
        except AssistantError as error:
            self.notice(str(error))
            return
        self._tried.add(note_id)
        await self._put(AnswerEntry(answer, entry.question, entry.kept))

    def _keep(self, answer: Answer) -> Question | None:
        """Keep the question for the authors; an answer that could not be kept is shown all the same."""
        if self._recorder is None:
            return None
        try:
            return self._recorder.question(answer)
        except AssistantError as error:
            self.notice(f"The question was not kept: {error}")
            return None

    async def _put(self, entry: Entry) -> None:
        self.line.focus(scroll_visible=False)
        await self.record.add(entry)

    async def action_others(self) -> None:
        """Show the next nearest note that was not shown yet for this question."""
        entry = self.record.newest_answer
        if entry is None:
            self.notice("No answer yet. Ask first.")
            return
        following = next((option for option in entry.pool if option.id not in self._tried), None)
        if following is None:
            self.notice("No other note is near. Ask in other words.")
            return
        self.notice("")
        await self._show(following.id, entry)

    def action_not_helpful(self) -> None:
        """Record that the newest answer did not help."""
        entry = self.record.newest_answer
        if entry is None:
            self.notice("No answer yet. Ask first.")
        elif entry.kept is None or self._recorder is None:
            self.notice(NO_JOURNAL)
        else:
            try:
                self._recorder.judge(entry.kept, "not_helpful")
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.notice("Noted: the authors will see that this did not help. Ask in other words.")

    async def action_work(self) -> None:
        """Work through the note of the newest answer."""
        entry = self.record.newest_answer
        if entry is None or entry.answer.note is None:
            self.notice("No note is shown. Ask first, or pick one.")
        elif self._recorder is None:
            self.notice(NO_JOURNAL)
        else:
            try:
                work = self._recorder.begin(
                    entry.answer.note, station=self._at_station, condition=printable(entry.question)
                )
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.app.push_screen(
                    WorkScreen(self._recorder, work, entry.answer.note, self._note_by_id), self._after_work
                )

    def _after_work(self, left: Left | None) -> None:
        if left is None:
            return
        if left.outcome:
            self.notice(f"{left.work.title}: {OUTCOME_WORDS[left.outcome]}. Recorded.")
        else:
            self.notice(f"{left.work.title} is not finished. Take it up again in the visit.")

    def action_visit(self) -> None:
        """Open the visit."""
        if self._recorder is None:
            self.notice(NO_JOURNAL)
        else:
            self.notice("")
            try:
                screen = VisitScreen(self._recorder, self._asks, self._note_by_id)
            except AssistantError as error:
                self.notice(str(error))
            else:
                self.app.push_screen(screen, self._after_visit)

    def _after_visit(self, station: str | None) -> None:
        self._at_station = station or ""
        if station:
            self.notice(f"Ask about {station}.")

    def action_save(self) -> None:
        """Save the newest answer."""
        entry = self.record.newest_answer
        if entry is None:
            self.notice("No answer yet. Ask first.")
            return
        text = f"Asked: {printable(entry.question)}\n{self._to_text(entry.answer)}"
        try:
            self.notice(f"Saved: {save_answer(entry.answer, text)}")
        except OSError as error:
            self.notice(f"Not saved: {error.strerror or error}. {error.filename or ''}")

    async def action_help(self) -> None:
        """Open help, or close it."""
        if not await self.record.close_help():
            await self._put(HelpEntry())

    async def action_close(self) -> None:
        """Close help, or else empty the question line."""
        self.notice("")
        self.line.focus(scroll_visible=False)
        if not await self.record.close_help():
            self.line.value = ""

    def action_leave(self) -> None:
        """Close the program."""
        self.app.exit(int(ExitCode.DONE))

    def action_earlier(self) -> None:
        """Recall an earlier question."""
        self.line.recall(-1)

    def action_later(self) -> None:
        """Recall a later question."""
        self.line.recall(1)
