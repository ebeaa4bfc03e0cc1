"""What all apps have in common: one screen to begin with, themes, breakpoints, Ctrl+C."""

from __future__ import annotations

import gc
from pathlib import Path
from typing import Any, ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.screen import Screen

from assistant.errors import ExitCode
from assistant.tui.common.contracts import Interruptible
from assistant.tui.common.settings import Settings
from assistant.tui.common.theme import DARK, LIGHT, THEMES

__all__ = ["OneScreenApp"]

_STYLE = Path(__file__).with_name("assistant.tcss")


class OneScreenApp(App[int], inherit_bindings=False):
    """Shows one screen and ends when it is left; returns an exit code.

    Parameters
    ----------
    screen
        The screen; what it is dismissed with is not looked at.
    settings
        What is remembered from one start to the next; nothing where not given.
    """

    TITLE = "Station assistant"
    BOUNCE = 0.3
    """Seconds in which a second Enter, on the empty line, is a slip of the finger and does nothing."""
    CSS_PATH = _STYLE
    ENABLE_COMMAND_PALETTE = False
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (60, "-wide")]  # noqa: RUF012 - declared so by the base class
    BINDINGS: ClassVar[list[BindingType]] = [Binding("ctrl+c", "interrupt", show=False, system=True)]

    def __init__(self, screen: Screen[Any], settings: Settings | None = None) -> None:
        super().__init__()
        self._screen = screen
        self.settings = settings or Settings()
        self.entered = 0.0
        """When Enter was pressed last, as events tell it."""
        for theme in THEMES:
            self.register_theme(theme)
        # As setting the theme would do, but for reading the whole style sheet once more before the first frame.
        self.set_reactive(App.theme, self._form())
        self.set_class(self.settings.dark, "-dark-mode", update=False)
        self.set_class(not self.settings.dark, "-light-mode", update=False)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return the theme's own variables, so that the style sheet is whole under any theme."""
        return dict(DARK.variables)

    def on_mount(self) -> None:
        """Show the screen, where it is not the first already."""
        if self.screen is not self._screen:
            self.push_screen(self._screen, self._left)

    def on_ready(self) -> None:
        """Look for garbage again once the first frame stands, where the start did without: not in what it loaded."""
        self.call_after_refresh(_look_for_garbage)

    def _left(self, _: object) -> None:
        self.exit(int(ExitCode.DONE))

    def action_toggle_form(self) -> None:
        """Change between the dark and the light form of the theme, and remember it."""
        self.settings.turn()
        self.theme = self._form()

    def _form(self) -> str:
        return DARK.name if self.settings.dark else LIGHT.name

    def action_interrupt(self) -> None:
        """Pass Ctrl+C on to the screen."""
        if isinstance(self.screen, Interruptible):
            self.screen.interrupt()


def _look_for_garbage() -> None:
    if not gc.isenabled():
        gc.freeze()
        gc.enable()
