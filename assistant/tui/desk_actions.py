"""All that can be pressed or tapped at the desk; bindings, keys and help are made from it."""

from __future__ import annotations

from assistant.tui.actions import ACTIONS, Action

__all__ = ["DESK_ACTIONS", "desk_action"]

_SHARED = {action.id: action for action in ACTIONS}

DESK_ACTIONS = (
    Action("next", ("f2", "ctrl+o"), "Next", "Go on to the next ten lines, or to the next of what is open"),
    Action("previous", ("f3", "ctrl+r"), "Previous", "Go back to the ten lines before, or to the one before"),
    Action("up", ("f8", "ctrl+y"), "Back", "Go back to the lines from which this was opened"),
    _SHARED["help"],
    _SHARED["theme"],
    _SHARED["leave"],
    Action(
        "scroll_down", ("pagedown",), "Scroll down", "Show what stands below, then the next ten lines", "More below"
    ),
    Action("scroll_up", ("pageup",), "Scroll up", "Show what stands above, then the ten lines before", "Above"),
    Action("close", ("escape",), "Cancel", "Cancel a question on the line, or close help, or else go back", "Back"),
)


def desk_action(id: str) -> Action:
    """Return an action by its id."""
    return next(action for action in DESK_ACTIONS if action.id == id)
