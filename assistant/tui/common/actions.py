"""The one table of all that can be done: each word, letter and key has one meaning on all screens."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding

from assistant.languages import said, to_say

__all__ = ["ACTIONS", "Action", "action_of", "bindings", "chosen", "hint", "key_name", "typed"]

_NAMES = {
    "ctrl": to_say("Ctrl"),
    "down": to_say("Down"),
    "enter": to_say("Enter"),
    "escape": to_say("Esc"),
    "pagedown": to_say("Page Down"),
    "pageup": to_say("Page Up"),
    "shift": to_say("Shift"),
    "space": to_say("Space"),
    "tab": to_say("Tab"),
    "up": to_say("Up"),
}


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
    Action("help", to_say("help"), "h", to_say("help"), to_say("Show or close help")),
    Action("visit", to_say("visit"), "v", to_say("visit"), to_say("Go to the visit: the round of stations")),
    Action("work", to_say("work"), "w", to_say("work through"), to_say("Work through the note shown, step by step")),
    Action("other", to_say("other"), "o", to_say("other note"), to_say("Show the next nearest note")),
    Action(
        "wrong", to_say("wrong"), "n", to_say("did not help"), to_say("Tell the authors that the answer did not help")
    ),
    Action("save", to_say("save"), "s", to_say("save"), to_say("Save what is shown as a text file")),
    Action("copy", to_say("copy"), "c", to_say("copy"), to_say("Copy what is shown")),
    Action("undo", to_say("undo"), "u", to_say("undo"), to_say("Take back the last entry")),
    Action("plan", to_say("plan"), "y", to_say("plan"), to_say("Show which shops come next")),
    Action("bag", to_say("bag"), "g", to_say("bag"), to_say("Show the kit bag")),
    Action(
        "rest",
        to_say("rest"),
        "j",
        to_say("the rest pass"),
        to_say("Let all the stations not seen yet pass, after a look at them"),
    ),
    Action("open", to_say("open"), "p", to_say("what is open"), to_say("Show what is still open here")),
    Action("close", to_say("close"), "x", to_say("close the visit"), to_say("Close the visit")),
    Action("record", to_say("record"), "r", to_say("record"), to_say("Record a part, a picture or a remark")),
    Action("skip", to_say("skip"), "k", to_say("skip"), to_say("Skip the step; you are asked why")),
    Action(
        "time",
        to_say("time"),
        "t",
        to_say("start the time"),
        to_say("Start the countdown of a step that tells to wait"),
    ),
    Action("end", to_say("end"), "e", to_say("end"), to_say("Tell how it ended, at any step")),
    Action("all", to_say("all"), "a", to_say("all steps"), to_say("Show all steps, or one at a time")),
    Action("next", to_say("next"), "d", to_say("next"), to_say("Go on to the next lines, or to the next one")),
    Action(
        "previous",
        to_say("previous"),
        "f",
        to_say("previous"),
        to_say("Go back to the lines before, or to the one before"),
    ),
    Action(
        "uncovered",
        to_say("uncovered"),
        "z",
        to_say("uncovered"),
        to_say("Say that no note answers the question, or take that back"),
    ),
    Action(
        "unsure",
        to_say("unsure"),
        "q",
        to_say("unsure"),
        to_say("Leave the question out of the labels, or take that back"),
    ),
    Action(
        "inside",
        to_say("inside"),
        "i",
        to_say("steps inside"),
        to_say("Open the note last marked, to mark its steps, or close it"),
    ),
    Action("back", to_say("back"), "b", to_say("back"), to_say("Go back to the step or the page before")),
    Action("colours", to_say("colours"), "m", to_say("dark or light"), to_say("Change between dark and light colours")),
    Action("leave", to_say("leave"), "l", to_say("leave"), to_say("Leave this screen; what is recorded stays")),
    Action(
        "done",
        to_say("done"),
        "",
        to_say("do it"),
        to_say("On the empty line: do the line that is marked >"),
        ("enter",),
    ),
    Action(
        "read",
        to_say("read"),
        "",
        to_say("I have read this"),
        to_say("On the empty line: say that you have read it"),
        ("space",),
    ),
    Action(
        "escape",
        "",
        "",
        to_say("cancel"),
        to_say("Cancel a question, close help, empty the line, or else leave"),
        ("escape",),
    ),
    Action("scroll_down", "", "", to_say("More below"), to_say("Show what stands below"), ("pagedown",)),
    Action("scroll_up", "", "", to_say("Above"), to_say("Show what stands above"), ("pageup",)),
    Action("earlier", "", "", to_say("earlier question"), to_say("Put an earlier question on the line"), ("up",)),
    Action("later", "", "", to_say("later question"), to_say("Go back towards the newest question"), ("down",)),
    Action(
        "reach",
        "",
        "",
        to_say("next line"),
        to_say("Go to the next line that can be picked; Enter picks it"),
        ("tab", "shift+tab"),
    ),
    Action(
        "interrupt",
        "",
        "",
        to_say("copy or close"),
        to_say("Copy what is marked by dragging; twice, close the program"),
        ("ctrl+c",),
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
    told = text.lower()
    return next((action for action in actions if told and told in _names(action)), None)


def _names(action: Action) -> tuple[str, ...]:
    """Return what can be typed for an action: its letter, its word and its label, in English as well."""
    return action.letter, *(
        name for word in (action.word, action.label) for name in (word, word and said(word).lower())
    )


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
    return f"{said(action.label)} ({action.letter or key_name(action.keys[0])})"


def key_name(key: str) -> str:
    """Return a key as it is printed on a keyboard.

    >>> key_name("shift+tab")
    'Shift+Tab'
    """
    return "+".join(said(_NAMES.get(part, part.capitalize())) for part in key.split("+"))
