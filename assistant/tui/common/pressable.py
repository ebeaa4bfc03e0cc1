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

__all__ = ["ActionLine", "AskedLine", "Choice", "Example", "OfferLine", "Pressable", "SeeNote"]

_WIDE = 56
"""Cells from which on a long question is shown whole."""
_MORE = "..."


class Pressable(Hanging):
    """A line that posts `Pressed` when it is tapped or pressed.

    It holds the focus only until it is pressed, and only while its card is the newest.
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
        super().__init__(f"{number:<2} ", literal(text), classes="option")
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


class AskedLine(Pressable):
    """The question above its card; pressing puts it back on the question line."""

    can_focus = False

    def __init__(self, question: str) -> None:
        super().__init__(said("Asked: "), literal(question), classes="asked")
        self.question = question
        self.tooltip = said("Put this question on the line again")

    def lines(self, width: int) -> list[Content]:
        """Return the question, of a long one on a narrow screen its beginning."""
        whole = super().lines(width)
        if len(whole) == 1 or width >= _WIDE:
            return whole
        return [whole[0].truncate(width - len(_MORE)) + _MORE]


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
