"""The terminal application of the rep."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any

from textual.screen import Screen

from assistant.journal.store import now
from assistant.tui.ask.screen import StationScreen
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.contracts import Asks, NoteById, ToText
from assistant.tui.common.settings import Settings
from assistant.visiting.recorder import Recorder

__all__ = ["StationApp"]


class StationApp(OneScreenApp):
    """Answers questions, and opens works and the visit; returns an exit code.

    Parameters
    ----------
    asks
        Answers the questions.
    to_text
        Returns an answer as the plain text that is saved.
    note_by_id
        Returns a note of the pack.
    recorder
        Records visits, work and questions; None where there is no journal.
    settings
        What is remembered from one start to the next.
    clock
        Tells the time.
    examples
        Questions to begin with; where there are none, those that fit the notes that ship.
    """

    def __init__(
        self,
        asks: Asks,
        to_text: ToText,
        note_by_id: NoteById,
        recorder: Recorder | None = None,
        settings: Settings | None = None,
        *,
        clock: Callable[[], datetime] = now,
        examples: Sequence[str] = (),
    ) -> None:
        super().__init__(StationScreen(asks, to_text, note_by_id, recorder, clock=clock, examples=examples), settings)

    def get_default_screen(self) -> Screen[Any]:
        """Return the screen itself: it is never left, so that no empty one is laid out below it."""
        return self._screen
