"""What the screen that a rep asks on shows and knows of the visit that is open."""

from __future__ import annotations

from assistant.errors import AssistantError
from assistant.visiting.line import names_station
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import round_view
from assistant.visiting.words import counted

__all__ = ["label_typed", "visit_words"]


def visit_words(recorder: Recorder) -> str:
    """Return which visit is open and how far its round is; empty where none is, or where the journal cannot be read."""
    try:
        view = round_view(recorder)
    except AssistantError:
        return ""
    if view is None:
        return ""
    if not view.stations:
        return f"Visit at {view.visit.store}, no station seen yet"
    return f"Visit at {view.visit.store}, {len(view.seen)} of {counted(len(view.stations), 'station')} seen"


def label_typed(recorder: Recorder, text: str) -> bool:
    """Tell whether a line begins with the asset label of a station of the open visit."""
    view = round_view(recorder)
    return view is not None and names_station(text, view.known)
