"""The line that says whether the record goes on above or below the view."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal, ScrollableContainer
from textual.widgets import Static

from assistant.tui.common.actions import action_of
from assistant.tui.common.pressable import ActionLine

__all__ = ["MoreLine"]

_ROOM = 42
"""Cells that both need in full."""


class MoreLine(Horizontal):
    """Two things to tap, each shown only where there is more that way.

    Parameters
    ----------
    record
        The record whose scrolling and length it keeps up with.
    """

    def __init__(self, record: ScrollableContainer) -> None:
        super().__init__()
        self._record = record

    def compose(self) -> ComposeResult:
        """Lay out the two keys at the two ends."""
        yield _line("scroll_up")
        yield Static(id="between")
        yield _line("scroll_down")

    def on_mount(self) -> None:
        """Keep up with the record."""
        for name in ("scroll_y", "virtual_size", "size"):
            self.watch(self._record, name, self._update_later)

    def _update_later(self) -> None:
        self.call_after_refresh(self.keep_up)

    def keep_up(self) -> None:
        """Offer what there is to scroll to now."""
        record = self._record
        above, below = record.scroll_y > 0, record.scroll_y < record.max_scroll_y
        for line in self.query(ActionLine):
            line.shorten(above and below and self.size.width < _ROOM)
        self.query_one("#scroll_up").display = above
        self.query_one("#scroll_down").display = below


def _line(id: str) -> ActionLine:
    line = ActionLine(action_of(id))
    line.can_focus = False
    line.id = id
    line.display = False
    return line
