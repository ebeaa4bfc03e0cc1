"""The running record of questions and cards."""

from __future__ import annotations

from textual.containers import VerticalScroll

from assistant.tui.common.entry import AnswerEntry, Entry, HelpEntry

__all__ = ["MOST_ENTRIES", "Record"]

MOST_ENTRIES = 50
"""Entries that stay mounted; the oldest go."""


class Record(VerticalScroll, can_focus=False, inherit_bindings=False):
    """Entries, the newest last and in view from its top."""

    @property
    def entries(self) -> list[Entry]:
        """All entries, oldest first."""
        return list(self.query_children(Entry))

    @property
    def newest(self) -> Entry | None:
        """The newest entry that is not help."""
        return next((entry for entry in reversed(self.entries) if not isinstance(entry, HelpEntry)), None)

    @property
    def newest_answer(self) -> AnswerEntry | None:
        """The newest entry that holds an answer."""
        return next((entry for entry in reversed(self.entries) if isinstance(entry, AnswerEntry)), None)

    @property
    def help(self) -> HelpEntry | None:
        """Help, where it is open."""
        return next((entry for entry in self.entries if isinstance(entry, HelpEntry)), None)

    async def add(self, entry: Entry) -> None:
        """Add an entry as the newest; help and the welcome make way for an answer."""
        old = self.entries
        if isinstance(entry, AnswerEntry):
            cards = [e for e in old if isinstance(e, AnswerEntry)]
            kept = cards[max(0, len(cards) + 1 - MOST_ENTRIES) :]
            await self.remove_children([e for e in old if e not in kept])
            old = [*kept]
        for earlier in old:
            earlier.set_newest(False)
        await self.mount(entry)
        entry.set_newest(True)
        self.show_top(entry)

    async def close_help(self) -> bool:
        """Close help and tell whether it was open."""
        opened = self.help
        if opened is None:
            return False
        await opened.remove()
        newest = self.newest
        if newest is not None:
            newest.set_newest(True)
            self.show_top(newest)
        return True

    def show_top(self, entry: Entry) -> None:
        """Bring the top of an entry to the top of the view."""
        self.call_after_refresh(self.scroll_to_widget, entry, top=True, animate=False, force=True)
