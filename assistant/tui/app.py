"""The terminal application: its theme and its one screen."""

from __future__ import annotations

from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType

from assistant.tui.contracts import Asks, Interruptible, NoteById, ToText
from assistant.tui.screens.station import StationScreen
from assistant.tui.theme import DARK, LIGHT, THEMES
from assistant.visiting.recorder import Recorder

__all__ = ["StationApp"]


class StationApp(App[int], inherit_bindings=False):
    """The terminal screen; returns an exit code.

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
    """

    TITLE = "Station assistant"
    CSS_PATH = ["assistant.tcss", "work.tcss"]  # noqa: RUF012 - declared so by the base class
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (60, "-wide")]  # noqa: RUF012 - declared so by the base class
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "interrupt", show=False, system=True)]

    def __init__(self, asks: Asks, to_text: ToText, note_by_id: NoteById, recorder: Recorder | None = None) -> None:
        super().__init__()
        self._screen = StationScreen(asks, to_text, note_by_id, recorder)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = DARK.name

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return the theme's own variables, so that the style sheet is whole under any theme."""
        return dict(DARK.variables)

    def on_mount(self) -> None:
        """Show the screen."""
        self.push_screen(self._screen)

    def action_toggle_form(self) -> None:
        """Change between the dark and the light form of the theme."""
        self.theme = LIGHT.name if self.theme == DARK.name else DARK.name

    def action_interrupt(self) -> None:
        """Pass Ctrl+C on to the screen."""
        if isinstance(self.screen, Interruptible):
            self.screen.interrupt()
