"""The screen of a scored release; it changes nothing."""

from __future__ import annotations

from assistant.tui.at_release import AtRelease
from assistant.tui.screens.desk import DeskScreen
from assistant.tui.widgets.release import ReleaseEntry, ReleaseHelp

__all__ = ["ReleaseScreen"]


class ReleaseScreen(DeskScreen):
    """Goes through the figures and the misses behind them.

    Parameters
    ----------
    at
        The figures, and what answers the questions anew.
    """

    def __init__(self, at: AtRelease) -> None:
        super().__init__(at, lambda: ReleaseEntry(at), ReleaseHelp)
