"""What the screen that a rep asks on shows and knows of the visit that is open."""

from __future__ import annotations

from assistant.errors import AssistantError
from assistant.languages import said, said_of
from assistant.visiting.line import names_station
from assistant.visiting.recorder import Recorder
from assistant.visiting.round_view import round_view

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
        return said("Visit at {store}, no station seen yet", store=view.visit.store)
    return said_of(
        "Visit at {store}, {seen} of {n} station seen",
        "Visit at {store}, {seen} of {n} stations seen",
        len(view.stations),
        store=view.visit.store,
        seen=len(view.seen),
    )


def label_typed(recorder: Recorder, text: str) -> bool:
    """Tell whether a line begins with the asset label of a station of the open visit."""
    view = round_view(recorder)
    return view is not None and names_station(text, view.known)
