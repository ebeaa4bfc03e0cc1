"""Lines that can be tapped, or reached with Tab and pressed with Enter."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message

from assistant.tui.common.actions import Action, key_name
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.text import literal

__all__ = ["ActionKey", "AskedLine", "Choice", "Example", "OfferLine", "Pressable", "SeeNote"]


class Pressable(Hanging):
    """A line that posts `Pressed` when it is tapped or pressed.

    It holds the focus only until it is pressed, and only while its card is the newest.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "press", show=False),
        Binding("up,left", "app.focus_previous", show=False),
        Binding("down,right", "app.focus_next", show=False),
    ]

    class Pressed(Message):
        """The line was pressed."""

        def __init__(self, pressed: Pressable) -> None:
            self.pressed = pressed
            super().__init__()

        @property
        def control(self) -> Pressable:
            """The line."""
            return self.pressed

    can_focus = True

    def action_press(self) -> None:
        """Post that this line was pressed."""
        self.post_message(self.Pressed(self))

    def on_click(self, event: events.Click) -> None:
        """Take a tap."""
        event.stop()
        self.action_press()


class Choice(Pressable):
    """A numbered line for another note.

    Parameters
    ----------
    number
        What to type on the question line for it.
    target
        Id of the note.
    """

    def __init__(self, number: int, text: str, target: str) -> None:
        super().__init__(f"{number}  ", literal(text), classes="option")
        self.target = target


class Example(Choice):
    """A numbered line for a question that could be asked."""

    def __init__(self, number: int, question: str) -> None:
        super().__init__(number, question, "")
        self.question = question


class SeeNote(Pressable):
    """A choice under a step that leads to another note."""

    def __init__(self, lead: str, text: str, target: str) -> None:
        super().__init__(lead, literal(text), classes="branch see-note")
        self.target = target


class ActionKey(Pressable):
    """An action to tap, with its key before it."""

    def __init__(self, action: Action) -> None:
        super().__init__(f"{key_name(action.keys[0])} ", Content(action.label), classes="action-key")
        self.action_id = action.id
        self.tooltip = action.tooltip


class AskedLine(Pressable):
    """The question above its card; pressing puts it back on the question line."""

    can_focus = False

    def __init__(self, question: str) -> None:
        super().__init__("Asked: ", literal(question), classes="asked")
        self.question = question
        self.tooltip = "Put this question on the line again"


class OfferLine(Pressable):
    """A numbered line: tap it, or type its number."""

    def __init__(self, number: int, text: str) -> None:
        super().__init__(f"{number}  ", literal(text), classes="option")
        self.number = number
