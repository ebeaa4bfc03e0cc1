"""What scrolls on a screen: the entry that shows how things stand."""

from __future__ import annotations

from textual.containers import VerticalScroll

__all__ = ["Record"]


class Record(VerticalScroll, can_focus=False, inherit_bindings=False):
    """Holds the entry; the keys of the screen scroll it."""
