"""The line that says whether the record goes on above or below the view."""

from __future__ import annotations

from dataclasses import replace

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from assistant.tui.common.actions import ACTIONS
from assistant.tui.common.pressable import ActionKey
from assistant.tui.common.record import Record

__all__ = ["MoreLine"]


class MoreLine(Horizontal):
    """Two things to tap, each shown only where there is more that way.

    Parameters
    ----------
    record
        The record whose scrolling and length it keeps up with.
    """

    def __init__(self, record: Record) -> None:
        super().__init__()
        self._record = record

    def compose(self) -> ComposeResult:
        """Lay out the two keys at the two ends."""
        yield _key("scroll_up")
        yield Static(id="between")
        yield _key("scroll_down")

    def on_mount(self) -> None:
        """Keep up with the record."""
        for name in ("scroll_y", "virtual_size", "size"):
            self.watch(self._record, name, self._update_later)

    def _update_later(self) -> None:
        self.call_after_refresh(self._update)

    def _update(self) -> None:
        record = self._record
        self.query_one("#scroll_up").visible = record.scroll_y > 0
        self.query_one("#scroll_down").visible = record.scroll_y < record.max_scroll_y


def _key(id: str) -> ActionKey:
    action = next(action for action in ACTIONS if action.id == id)
    key = ActionKey(replace(action, label=action.tap))
    key.can_focus = False
    key.id = id
    return key
