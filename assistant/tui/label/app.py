"""The terminal application in which questions are labelled."""

from __future__ import annotations

from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.settings import Settings
from assistant.tui.label.labelling import Labelling
from assistant.tui.label.screen import LabelScreen

__all__ = ["label_app"]


def label_app(labelling: Labelling, settings: Settings | None = None) -> OneScreenApp:
    """Return the application over one labeller's way through the questions."""
    return OneScreenApp(LabelScreen(labelling), settings)
