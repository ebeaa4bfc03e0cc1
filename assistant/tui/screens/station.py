"""The one screen: the record over the question line."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import ClassVar, Protocol

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Input, Static

from assistant.answering.converse import Conversation
from assistant.errors import AssistantError, ExitCode
from assistant.model import Answer
from assistant.tui.actions import bindings
from assistant.tui.saving import save_answer
from assistant.tui.text import literal, printable
from assistant.tui.widgets.entry import AnswerEntry, Entry, HelpEntry, Welcome
from assistant.tui.widgets.more import MoreLine
from assistant.tui.widgets.pressable import ActionKey, AskedLine, Choice, Example, Pressable, SeeNote
from assistant.tui.widgets.question import QuestionLine
from assistant.tui.widgets.record import Record

__all__ = ["Asks", "StationScreen", "ToText"]

ToText = Callable[[Answer], str]
_NUMBER = re.compile(r"[1-9]\Z")


class Asks(Protocol):
    """Whatever answers questions."""

    def ask(
        self, question: str, conversation: Conversation | None = None, *, id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Answer one turn."""

    def show(
        self, note_id: str, *, question: str = "", others: Sequence[str] = (), id: str = ""
    ) -> tuple[Answer, Conversation]:
        """Show one note."""


class StationScreen(Screen[None]):
    """Asks and shows.

    Parameters
    ----------
    asks
        Answers the questions.
    to_text
        Returns an answer as the plain text that is saved.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]
    AUTO_FOCUS = "#question"

    def __init__(self, asks: Asks, to_text: ToText) -> None:
        super().__init__()
        self._asks = asks
        self._to_text = to_text
        self._conversation = Conversation()
        self._tried: set[str] = set()
        self._leaving = False

    def compose(self) -> ComposeResult:
        """Lay out the record, what is below it, the notice and the question line."""
        record = Record(id="record")
        yield record
        yield MoreLine(record)
        yield Static(id="notice", markup=False)
        with Horizontal(id="line"):
            yield Static(Content("Ask "), id="prompt")
            yield QuestionLine()

    async def on_mount(self) -> None:
        """Show the welcome."""
        self.notice("")
        await self._record.add(Welcome())

    @property
    def _record(self) -> Record:
        return self.query_one(Record)

    @property
    def _line(self) -> QuestionLine:
        return self.query_one(QuestionLine)

    def notice(self, text: str) -> None:
        """Say something about a control above the question line; empty for nothing."""
        place = self.query_one("#notice", Static)
        place.update(literal(text))
        place.display = bool(text)

    @on(Input.Submitted)
    async def _submitted(self, event: Input.Submitted) -> None:
        question = printable(event.value)
        self.notice("")
        if not question:
            self.notice("Type what is wrong, then press Enter.")
            return
        newest = self._record.newest
        choices = newest.choices() if newest else []
        if _NUMBER.match(question) and int(question) <= len(choices):
            self._line.value = ""
            await self._take(choices[int(question) - 1])
        elif isinstance(newest, AnswerEntry) and question.lower() in newest.named:
            self._line.value = ""
            await self._show(question.lower(), newest)
        else:
            await self._ask(question)

    @on(Input.Changed)
    def _typed(self) -> None:
        self._leaving = False

    @on(Pressable.Pressed)
    async def _pressed(self, event: Pressable.Pressed) -> None:
        self._line.focus(scroll_visible=False)
        self.notice("")
        pressed = event.pressed
        if isinstance(pressed, ActionKey):
            await self.run_action(pressed.action_id)
        elif isinstance(pressed, AskedLine):
            self._line.value = pressed.question
            self._line.cursor_position = len(pressed.question)
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
        self._line.remember(question)
        self._tried = {answer.note.id} if answer.note else set()
        await self._put(AnswerEntry(answer, question))

    async def _show(self, note_id: str, entry: AnswerEntry) -> None:
        """Show a note that was picked from an entry; the others stay at hand."""
        try:
            others = [option.id for option in entry.pool]
            answer, self._conversation = self._asks.show(note_id, question=entry.question, others=others)
        except AssistantError as error:
            self.notice(str(error))
            return
        self._tried.add(note_id)
        await self._put(AnswerEntry(answer, entry.question))

    async def _put(self, entry: Entry) -> None:
        self._line.focus(scroll_visible=False)
        await self._record.add(entry)

    async def on_key(self, event: events.Key) -> None:
        """Bring what is typed on a pressable line to the question line."""
        if self.focused is not self._line and event.is_printable and event.character:
            event.stop()
            self._line.focus(scroll_visible=False)
            self._line.insert_text_at_cursor(event.character)

    def on_click(self) -> None:
        """Give the focus back to the question line after a tap on what cannot be pressed."""
        self._line.focus(scroll_visible=False)

    async def action_others(self) -> None:
        """Show the next nearest note that was not shown yet for this question."""
        entry = self._record.newest_answer
        if entry is None:
            self.notice("No answer yet. Ask first.")
            return
        following = next((option for option in entry.pool if option.id not in self._tried), None)
        if following is None:
            self.notice("No other note is near. Ask in other words.")
            return
        self.notice("")
        await self._show(following.id, entry)

    def action_save(self) -> None:
        """Save the newest answer."""
        entry = self._record.newest_answer
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
        if not await self._record.close_help():
            await self._put(HelpEntry())

    async def action_close(self) -> None:
        """Close help, or else empty the question line."""
        self.notice("")
        self._line.focus(scroll_visible=False)
        if not await self._record.close_help():
            self._line.value = ""

    def action_theme(self) -> None:
        """Change between the dark and the light form."""
        self.app.action_toggle_form()  # type: ignore[attr-defined]

    def action_leave(self) -> None:
        """Close the program."""
        self.app.exit(int(ExitCode.DONE))

    def interrupt(self) -> None:
        """Close the program at the second time in a row."""
        if self._leaving:
            self.app.exit(int(ExitCode.INTERRUPTED))
        self._leaving = True
        self.notice("Press Ctrl+C again to close the program.")

    def action_scroll_down(self) -> None:
        """Scroll the record down a page."""
        self._record.scroll_page_down(animate=False)

    def action_scroll_up(self) -> None:
        """Scroll the record up a page."""
        self._record.scroll_page_up(animate=False)

    def action_earlier(self) -> None:
        """Recall an earlier question."""
        self._line.recall(-1)

    def action_later(self) -> None:
        """Recall a later question."""
        self._line.recall(1)
