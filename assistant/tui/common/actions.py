"""All that can be pressed or tapped, in one place: bindings, the row under a card and help are made from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding

__all__ = ["ACTIONS", "SHARED", "Action", "action_of", "bindings", "key_name", "row_actions"]

_NAMES = {"pageup": "Page Up", "pagedown": "Page Down", "escape": "Esc", "up": "Up", "down": "Down"}


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do.

    ``id`` names the screen's ``action_...`` method. The first of ``keys`` is the one shown. ``tap`` says what to
    tap where the action does not stand in the row under the newest card. ``with_answer`` means that it needs an answer.
    """

    id: str
    keys: tuple[str, ...]
    label: str
    tooltip: str
    tap: str = ""
    with_answer: bool = False


ACTIONS = (
    Action(
        "work",
        ("f5", "ctrl+b"),
        "Work through",
        "Work through the note shown, step by step",
        with_answer=True,
    ),
    Action("others", ("f2", "ctrl+o"), "Next nearest", "Show the next nearest note", with_answer=True),
    Action(
        "not_helpful",
        ("f7", "ctrl+n"),
        "Not helpful",
        "Tell the authors that the answer did not help",
        with_answer=True,
    ),
    Action("visit", ("f8", "ctrl+y"), "Visit", "Open the visit: the round of stations"),
    Action("save", ("f3", "ctrl+r"), "Save", "Save the answer as a text file in the current folder", with_answer=True),
    Action("help", ("f4", "ctrl+g", "f1"), "Help", "Show or close help"),
    Action("theme", ("f6", "ctrl+t"), "Light or dark", "Change between dark and light colours"),
    Action("leave", ("f9", "ctrl+l", "ctrl+q"), "Leave", "Close the program"),
    Action("scroll_down", ("pagedown",), "Scroll down", "Show what stands below", "More below"),
    Action("scroll_up", ("pageup",), "Scroll up", "Show what stands above", "Above"),
    Action("earlier", ("up",), "Earlier question", "Put an earlier question on the line", "the question of any card"),
    Action("later", ("down",), "Later question", "Go back towards the newest question", "the question of any card"),
    Action("close", ("escape",), "Close help", "Close help, or else empty the question line", "Help"),
)


SHARED = {action.id: action for action in ACTIONS}
"""The actions by id, for screens that have some of them too."""


def action_of(actions: Iterable[Action], id: str) -> Action:
    """Return the action with an id."""
    return next(action for action in actions if action.id == id)


def bindings(actions: Iterable[Action] = ACTIONS) -> list[Binding]:
    """Return one binding an action."""
    return [
        Binding(",".join(action.keys), action.id, action.label, show=False, tooltip=action.tooltip)
        for action in actions
    ]


def row_actions(*, with_answer: bool) -> tuple[Action, ...]:
    """Return the actions that stand under the newest card, or under what is no answer."""
    return tuple(action for action in ACTIONS if not action.tap and (with_answer or not action.with_answer))


def key_name(key: str) -> str:
    """Return a key as it is printed on a keyboard.

    >>> key_name("ctrl+o")
    'Ctrl+O'
    """
    return "+".join(_NAMES.get(part, part.capitalize()) for part in key.split("+"))
