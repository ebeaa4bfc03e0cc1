"""Lines that can be tapped, or reached with Tab and pressed with Enter."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message

from assistant.languages import said
from assistant.tui.common.actions import Action, hint, key_name
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.text import literal

__all__ = ["ActionLine", "OfferLine", "Pressable"]


class Pressable(Hanging):
    """A line that posts `Pressed` when it is tapped or pressed.

    It holds the focus only until it is pressed.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "press", show=False),
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


class ActionLine(Pressable):
    """An action to tap, named with its letter or its key."""

    def __init__(self, action: Action) -> None:
        super().__init__("", Content(hint(action)), classes="action-line")
        self.action_id = action.id
        self.tooltip = said(action.tooltip)
        self._forms = (hint(action), key_name(action.keys[0]) if action.keys else hint(action))

    def shorten(self, short: bool) -> None:
        """Show the key alone, or what it does as well."""
        self.show_body(Content(self._forms[short]))


class OfferLine(Pressable):
    """A numbered line: tap it, or type its number.

    Parameters
    ----------
    marked
        Whether Enter on the empty line takes it.
    """

    def __init__(self, number: int, text: str, *, marked: bool = False) -> None:
        super().__init__(f"{'>' if marked else ' '}{number:<2} ", literal(text), classes="option")
        self.number = number
        self.set_class(marked, "-marked")
