"""The one table of all that can be done: each word, letter and key has one meaning on all screens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding

__all__ = ["ACTIONS", "Action", "action_of", "bindings", "chosen", "hint", "key_name", "typed"]

_NAMES = {"pageup": "Page Up", "pagedown": "Page Down", "escape": "Esc"}


@dataclass(frozen=True, slots=True)
class Action:
    """One thing to do.

    ``id`` names the screen's ``action_...`` method. ``word`` or ``letter``, typed on the line, does it, or a key.
    ``label`` stands on the screen, ``tooltip`` says in help what it does.
    """

    id: str
    word: str
    letter: str
    label: str
    tooltip: str
    keys: tuple[str, ...] = ()


ACTIONS = (
    Action("help", "help", "h", "help", "Show or close help"),
    Action("visit", "visit", "v", "visit", "Go to the visit: the round of stations"),
    Action("work", "work", "w", "work through", "Work through the note shown, step by step"),
    Action("other", "other", "o", "other note", "Show the next nearest note"),
    Action("wrong", "wrong", "n", "did not help", "Tell the authors that the answer did not help"),
    Action("save", "save", "s", "save", "Save what is shown as a text file"),
    Action("copy", "copy", "c", "copy", "Copy what is shown"),
    Action("undo", "undo", "u", "undo", "Take back the last entry"),
    Action("plan", "plan", "y", "plan", "Show which shops come next"),
    Action("bag", "bag", "g", "bag", "Show the kit bag"),
    Action("rest", "rest", "j", "the rest pass", "Let all the stations not seen yet pass, after a look at them"),
    Action("open", "open", "p", "what is open", "Show what is still open here"),
    Action("close", "close", "x", "close the visit", "Close the visit"),
    Action("record", "record", "r", "record", "Record a part, a picture or a remark"),
    Action("skip", "skip", "k", "skip", "Skip the step; you are asked why"),
    Action("time", "time", "t", "start the time", "Start the countdown of a step that tells to wait"),
    Action("end", "end", "e", "end", "Tell how it ended, at any step"),
    Action("all", "all", "a", "all steps", "Show all steps, or one at a time"),
    Action("next", "next", "d", "next", "Go on to the next lines, or to the next one"),
    Action("previous", "previous", "f", "previous", "Go back to the lines before, or to the one before"),
    Action("uncovered", "uncovered", "z", "uncovered", "Say that no note answers the question, or take that back"),
    Action("unsure", "unsure", "q", "unsure", "Leave the question out of the labels, or take that back"),
    Action("inside", "inside", "i", "steps inside", "Open the note last marked, to mark its steps, or close it"),
    Action("back", "back", "b", "back", "Go back to the step or the page before"),
    Action("colours", "colours", "m", "dark or light", "Change between dark and light colours"),
    Action("leave", "leave", "l", "leave", "Leave this screen; what is recorded stays"),
    Action("done", "done", "", "do it", "On the empty line: do the line that is marked >", ("enter",)),
    Action("read", "read", "", "I have read this", "On the empty line: say that you have read it", ("space",)),
    Action("escape", "", "", "cancel", "Cancel a question, close help, empty the line, or else leave", ("escape",)),
    Action("scroll_down", "", "", "More below", "Show what stands below", ("pagedown",)),
    Action("scroll_up", "", "", "Above", "Show what stands above", ("pageup",)),
    Action("earlier", "", "", "earlier question", "Put an earlier question on the line", ("up",)),
    Action("later", "", "", "later question", "Go back towards the newest question", ("down",)),
    Action(
        "reach", "", "", "next line", "Go to the next line that can be picked; Enter picks it", ("tab", "shift+tab")
    ),
    Action(
        "interrupt", "", "", "copy or close", "Copy what is marked by dragging; twice, close the program", ("ctrl+c",)
    ),
)
_BOUND = ("escape", "scroll_down", "scroll_up", "earlier", "later")
"""The keys that screens bind; the line reads Enter and Space itself, Tab and Ctrl+C are read above."""


def action_of(id: str) -> Action:
    """Return the action with an id."""
    return next(action for action in ACTIONS if action.id == id)


def chosen(*ids: str) -> tuple[Action, ...]:
    """Return the actions with these ids, in their order."""
    return tuple(map(action_of, ids))


def typed(actions: Iterable[Action], text: str) -> Action | None:
    """Return the action whose word, letter or label was typed, None where it was none of them."""
    said = text.lower()
    return next((action for action in actions if said and said in (action.word, action.letter, action.label)), None)


def bindings() -> list[Binding]:
    """Return the keys that every screen binds."""
    return [
        Binding(key, action.id, action.label, show=False, tooltip=action.tooltip)
        for action in chosen(*_BOUND)
        for key in action.keys
    ]


def hint(action: Action) -> str:
    """Return what an action is called, with its letter or its key.

    >>> hint(action_of("work")), hint(action_of("escape"))
    ('work through (w)', 'cancel (Esc)')
    """
    return f"{action.label} ({action.letter or key_name(action.keys[0])})"


def key_name(key: str) -> str:
    """Return a key as it is printed on a keyboard.

    >>> key_name("shift+tab")
    'Shift+Tab'
    """
    return "+".join(_NAMES.get(part, part.capitalize()) for part in key.split("+"))
