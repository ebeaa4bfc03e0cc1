"""All that can be pressed or tapped on a visit; bindings, keys and help are made from it."""

from __future__ import annotations

from assistant.tui.common.actions import SHARED, Action

__all__ = ["VISIT_ACTIONS"]

VISIT_ACTIONS = (
    Action("ask", ("f5", "ctrl+b"), "Ask", "Ask a question; the visit stays open"),
    Action("open_points", ("f7", "ctrl+n"), "What is open", "Show what is open in this shop, or go back to the round"),
    Action("close_visit", ("f10", "ctrl+p"), "Close visit", "Close the visit: totals and the text to hand off"),
    SHARED["help"],
    SHARED["theme"],
    Action("leave", ("f9", "ctrl+l", "ctrl+q"), "Back", "Go back to the questions; the visit stays open"),
    SHARED["scroll_down"],
    SHARED["scroll_up"],
    Action("close", ("escape",), "Cancel", "Cancel a question on the line, or close help, or else go back", "Back"),
)
