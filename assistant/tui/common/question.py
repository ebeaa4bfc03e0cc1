"""The one question line."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Input

from assistant.languages import said
from assistant.tui.common.text import printable

__all__ = ["MOST_CHARACTERS", "QuestionLine"]

MOST_CHARACTERS = 4000


class QuestionLine(Input, inherit_bindings=False):
    """An input line that remembers the questions and takes a paste of several lines as one."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "submit", show=False),
        Binding("left", "cursor_left", show=False),
        Binding("right", "cursor_right", show=False),
        Binding("shift+left", "cursor_left(True)", show=False),
        Binding("shift+right", "cursor_right(True)", show=False),
        Binding("home", "home", show=False),
        Binding("end", "end", show=False),
        Binding("backspace", "delete_left", show=False),
        Binding("delete", "delete_right", show=False),
    ]

    class Cut(Message):
        """A paste was longer than the line holds; its end was left out."""

    class Read(Message):
        """Space was pressed on the empty line."""

    def __init__(self) -> None:
        super().__init__(
            placeholder=said("What is wrong? Then Enter"),
            max_length=MOST_CHARACTERS,
            select_on_focus=False,
            compact=True,
            id="question",
        )
        self.cursor_blink = False
        self._asked: list[str] = []
        self._place = 0
        self._draft = ""

    async def on_key(self, event: events.Key) -> None:
        """Take Space on the empty line, where a question cannot begin with it."""
        if event.key == "space" and not self.value:
            event.prevent_default()
            event.stop()
            self.post_message(self.Read())

    def on_paste(self, event: events.Paste) -> None:
        """Put the pasted text on the line, line breaks as spaces, as far as there is room."""
        event.prevent_default()
        event.stop()
        start, end = sorted(self.selection)
        room = MOST_CHARACTERS - len(self.value) + end - start
        text = printable(event.text)
        self.replace(text[:room], start, end)
        if len(text) > room:
            self.post_message(self.Cut())

    def remember(self, question: str) -> None:
        """Add a question to those that can be recalled, and empty the line."""
        if not self._asked or self._asked[-1] != question:
            self._asked.append(question)
        self._place = len(self._asked)
        self._draft = ""
        self.value = ""

    def recall(self, by: int) -> None:
        """Put the question ``by`` places later on the line; what was being typed comes after the newest."""
        place = min(max(self._place + by, 0), len(self._asked))
        if place == self._place:
            return
        if self._place == len(self._asked):
            self._draft = self.value
        self._place = place
        self.value = self._draft if place == len(self._asked) else self._asked[place]
        self.cursor_position = len(self.value)
