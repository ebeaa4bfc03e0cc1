"""The screen of a scored release; it changes nothing."""

from __future__ import annotations

from assistant.tui.desk.at_release import AtRelease
from assistant.tui.desk.release_widgets import RELEASE_TEXTS, ReleaseEntry
from assistant.tui.desk.screen import DeskScreen

__all__ = ["ReleaseScreen"]


class ReleaseScreen(DeskScreen):
    """Goes through the figures and the misses behind them.

    Parameters
    ----------
    at
        The figures, and what answers the questions anew.
    """

    TEXTS = RELEASE_TEXTS

    def __init__(self, at: AtRelease) -> None:
        super().__init__(at, lambda: ReleaseEntry(at))
