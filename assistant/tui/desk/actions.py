"""All that can be pressed or tapped at the desk; bindings, keys and help are made from it."""

from __future__ import annotations

from assistant.tui.common.actions import SHARED, Action

__all__ = ["DESK_ACTIONS"]

DESK_ACTIONS = (
    Action("next", ("f2", "ctrl+o"), "Next", "Go on to the next ten lines, or to the next of what is open"),
    Action("previous", ("f3", "ctrl+r"), "Previous", "Go back to the ten lines before, or to the one before"),
    Action("up", ("f8", "ctrl+y"), "Back", "Go back to the lines from which this was opened"),
    SHARED["help"],
    SHARED["theme"],
    SHARED["leave"],
    Action(
        "scroll_down", ("pagedown",), "Scroll down", "Show what stands below, then the next ten lines", "More below"
    ),
    Action("scroll_up", ("pageup",), "Scroll up", "Show what stands above, then the ten lines before", "Above"),
    Action("close", ("escape",), "Cancel", "Cancel a question on the line, or close help, or else go back", "Back"),
)
