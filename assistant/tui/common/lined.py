"""What every screen over the one input line does: say something, keep the focus on the line, scroll, interrupt."""

from __future__ import annotations

from textual import events, on
from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen, ScreenResultType
from textual.widgets import Input, Static

from assistant.errors import ExitCode
from assistant.tui.common.question import QuestionLine
from assistant.tui.common.record import Record
from assistant.tui.common.text import literal

__all__ = ["LinedScreen"]


class LinedScreen(Screen[ScreenResultType]):
    """A screen with a record, a notice and the input line, which holds the focus."""

    AUTO_FOCUS = "#question"
    PROMPT = "Ask "

    def __init__(self) -> None:
        super().__init__()
        self._leaving = False

    def compose_line(self) -> ComposeResult:
        """Lay out the notice and the input line."""
        yield Static(id="notice", markup=False)
        with Horizontal(id="line"):
            yield Static(Content(self.PROMPT), id="prompt")
            yield QuestionLine()

    @property
    def record(self) -> Record:
        """What scrolls."""
        return self.query_one(Record)

    @property
    def line(self) -> QuestionLine:
        """The input line."""
        return self.query_one(QuestionLine)

    def notice(self, text: str) -> None:
        """Say something about a control above the input line; empty for nothing."""
        place = self.query_one("#notice", Static)
        place.update(literal(text))
        place.display = bool(text)

    @on(Input.Changed)
    def _typed(self) -> None:
        self._leaving = False

    async def on_key(self, event: events.Key) -> None:
        """Bring what is typed on a pressable line to the input line."""
        if self.focused is not self.line and event.is_printable and event.character:
            event.stop()
            self.line.focus(scroll_visible=False)
            self.line.insert_text_at_cursor(event.character)

    def on_click(self) -> None:
        """Give the focus back to the input line after a tap on what cannot be pressed."""
        self.line.focus(scroll_visible=False)

    def action_theme(self) -> None:
        """Change between the dark and the light form."""
        self.app.action_toggle_form()  # type: ignore[attr-defined]

    def interrupt(self) -> None:
        """Close the program at the second time in a row."""
        if self._leaving:
            self.app.exit(int(ExitCode.INTERRUPTED))
        self._leaving = True
        self.notice("Press Ctrl+C again to close the program.")

    def action_scroll_down(self) -> None:
        """Scroll the record down a page."""
        self.record.scroll_page_down(animate=False)

    def action_scroll_up(self) -> None:
        """Scroll the record up a page."""
        self.record.scroll_page_up(animate=False)
