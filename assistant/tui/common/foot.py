"""The foot of a screen: what can be done here, in a few words on one line, each of which can be tapped."""

from __future__ import annotations

from collections.abc import Callable

from textual import events
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget

from assistant.languages import said
from assistant.tui.common.actions import Action, hint

__all__ = ["Foot"]

_FORMS: tuple[tuple[int, Callable[[Action], str]], ...] = (
    (3, hint),
    (1, lambda action: f"{said(action.word)} ({action.letter})"),
    (2, lambda action: said(action.word)),
)
"""Blanks between and the form of a word, the fullest that has room is shown."""


class Foot(Widget):
    """The words at the foot."""

    can_focus = False
    actions: reactive[tuple[Action, ...]] = reactive(())

    class Tapped(Message):
        """A word was tapped."""

        def __init__(self, action: Action) -> None:
            self.action = action
            super().__init__()

    def words(self) -> list[tuple[int, str, Action]]:
        """Return the column, the text and the action of each word."""
        width = self.content_size.width
        for gap, form in _FORMS:
            placed = []
            column = 0
            for action in self.actions:
                text = form(action)
                placed.append((column, text, action))
                column += len(text) + gap
            if column - gap <= width:
                break
        return placed

    def render(self) -> Content:
        """Draw the words."""
        line = Content()
        for column, text, _ in self.words():
            line = line.pad_right(column - len(line)) + Content(text)
        return line

    def on_click(self, event: events.Click) -> None:
        """Take a tap on a word."""
        event.stop()
        place = event.get_content_offset(self)
        for column, text, action in self.words():
            if place and column <= place.x < column + len(text):
                self.post_message(self.Tapped(action))
