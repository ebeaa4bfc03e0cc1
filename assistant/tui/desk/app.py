"""The desk's two apps: what reps did not find, and the figures of a release."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from assistant.desk.by_hand import ByHand
from assistant.desk.unanswered import Group
from assistant.evaluation.study import Study
from assistant.pack.reader import Pack
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.contracts import Asks
from assistant.tui.common.settings import Settings
from assistant.tui.desk.at_groups import AtGroups
from assistant.tui.desk.at_release import AtRelease
from assistant.tui.desk.groups_screen import GroupsScreen
from assistant.tui.desk.release_screen import ReleaseScreen

__all__ = ["GroupsApp", "ReleaseApp"]


class GroupsApp(OneScreenApp):
    """Goes through what reps did not find; the parameters are those of `AtGroups`, and what is remembered."""

    TITLE = "Asked and not found"

    def __init__(
        self,
        groups: Sequence[Group],
        asks: Asks,
        pack: Pack,
        corpus: Path,
        today: date,
        by_hand: ByHand,
        settings: Settings | None = None,
    ) -> None:
        self.at = AtGroups(groups, asks, pack, corpus, today, by_hand)
        super().__init__(GroupsScreen(self.at), settings)


class ReleaseApp(OneScreenApp):
    """Goes through the figures of a release; the parameters are those of `AtRelease`, and what is remembered."""

    TITLE = "Figures of a release"

    def __init__(self, study: Study, asks: Asks, settings: Settings | None = None) -> None:
        self.at = AtRelease(study, asks)
        super().__init__(ReleaseScreen(self.at), settings)
