"""All that can be pressed or tapped while working through a note; bindings, keys and help are made from it."""

from __future__ import annotations

from dataclasses import replace

from assistant.tui.common.actions import SHARED, Action

__all__ = ["WORK_ACTIONS"]

WORK_ACTIONS = (
    Action("read", ("f2", "ctrl+r"), "I have read this", "Acknowledge the safety message that is shown"),
    Action("done", ("f3", "ctrl+o"), "Done", "Tick the step; at a step with choices, pick a numbered line"),
    Action("wait", ("f12", "ctrl+t"), "Start the time", "Start the countdown of a step that tells to wait"),
    Action("skip", ("f5", "ctrl+n"), "Skip", "Skip the step; you are asked why"),
    Action("back", ("f7", "ctrl+b"), "Back", "Go back to the step before"),
    Action("record", ("f8", "ctrl+y"), "Record", "Record a part, a picture or a remark"),
    Action("end", ("f10", "ctrl+p"), "End now", "Tell how it ended, at any step"),
    Action("steps", ("f11", "ctrl+l"), "All or one", "Show all steps, or one at a time"),
    SHARED["help"],
    replace(SHARED["theme"], keys=SHARED["theme"].keys[:1]),
    Action("leave", ("f9", "ctrl+q"), "Leave", "Leave the work as it stands; it can be taken up again"),
    SHARED["scroll_down"],
    SHARED["scroll_up"],
    Action("close", ("escape",), "Cancel", "Cancel a question on the line, or close help, or else leave", "Leave"),
)
