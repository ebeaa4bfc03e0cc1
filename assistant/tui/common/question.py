"""The one question line."""

from __future__ import annotations

from textual import events
from textual.widgets import Input

from assistant.tui.common.text import printable

__all__ = ["QuestionLine"]

MOST_CHARACTERS = 4000


class QuestionLine(Input):
    """An input line that remembers the questions and takes a paste of several lines as one."""

    def __init__(self) -> None:
        super().__init__(
            placeholder="What is wrong? Then Enter",
            max_length=MOST_CHARACTERS,
            select_on_focus=False,
            compact=True,
            id="question",
        )
        self.cursor_blink = False
        self._asked: list[str] = []
        self._place = 0
        self._draft = ""

    def on_paste(self, event: events.Paste) -> None:
        """Put the pasted text on the line, line breaks as spaces."""
        event.prevent_default()
        event.stop()
        start, end = self.selection
        self.replace(printable(event.text), min(start, end), max(start, end))

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
