"""All that can be pressed or tapped while questions are labelled; bindings, keys and help are made from it."""

from __future__ import annotations

from assistant.tui.common.actions import SHARED, Action

__all__ = ["LABEL_ACTIONS"]

LABEL_ACTIONS = (
    Action("uncovered", ("f3", "ctrl+r"), "Uncovered", "No note answers the question, or take that back"),
    Action("unsure", ("f5", "ctrl+b"), "Unsure", "Leave the question out of the labels, or take that back"),
    Action("steps", ("f2", "ctrl+o"), "Steps", "Open the note last marked, to mark its steps, or close it"),
    Action("previous_question", ("f7", "ctrl+p"), "Previous", "Go to the question before"),
    Action("next_question", ("f8", "ctrl+n"), "Next", "Go to the next question"),
    Action("first_open", ("f10", "ctrl+y"), "First open", "Go to the first question that is not judged"),
    Action("find", ("f12", "ctrl+s"), "Find a note", "Find a note that is not among the lines"),
    SHARED["help"],
    SHARED["theme"],
    Action("leave", ("f9", "ctrl+l", "ctrl+q"), "Leave", "Close the program; all is saved"),
    SHARED["scroll_down"],
    SHARED["scroll_up"],
    Action("close", ("escape",), "Cancel", "Cancel a question on the line, or close help or the note", "Cancel"),
)
