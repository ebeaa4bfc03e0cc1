"""The screen of what reps asked and did not find."""

from __future__ import annotations

from typing import ClassVar

from assistant.tui.common.actions import Action, chosen
from assistant.tui.desk.at_groups import AtGroups
from assistant.tui.desk.groups_widgets import GROUPS_TEXTS, GroupsEntry
from assistant.tui.desk.screen import DeskScreen

__all__ = ["GroupsScreen"]


class GroupsScreen(DeskScreen):
    """Goes through the groups and takes them into the notes.

    Parameters
    ----------
    at
        The groups, and the notes that are written to.
    """

    ACTIONS: ClassVar[tuple[Action, ...]] = chosen("undo", *(action.id for action in DeskScreen.ACTIONS))
    TEXTS = GROUPS_TEXTS

    def __init__(self, at: AtGroups) -> None:
        super().__init__(at, lambda: GroupsEntry(at))
        self._groups = at

    async def action_undo(self) -> None:
        """Take back what was done last to any group by hand."""
        await self.do(self._groups.undo)
