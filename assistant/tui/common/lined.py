"""What every screen over the one input line does: words and letters, notices, focus on the line, scrolling, Ctrl+C."""

from __future__ import annotations

from typing import ClassVar, cast

from textual import events, on
from textual.actions import SkipAction
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, ScrollableContainer
from textual.content import Content
from textual.screen import Screen, ScreenResultType
from textual.widgets import Input, Static

from assistant.errors import ExitCode
from assistant.languages import said
from assistant.tui.common.actions import Action, bindings, chosen, typed
from assistant.tui.common.app import OneScreenApp
from assistant.tui.common.entry import HelpEntry
from assistant.tui.common.foot import Foot
from assistant.tui.common.more import MoreLine
from assistant.tui.common.pressable import ActionLine, Pressable
from assistant.tui.common.question import MOST_CHARACTERS, QuestionLine
from assistant.tui.common.record import Record
from assistant.tui.common.settings import Settings
from assistant.tui.common.text import literal, printable, sentence

__all__ = ["LinedScreen"]


class LinedScreen(Screen[ScreenResultType]):
    """A screen with a head, a record, a notice, the input line, which holds the focus, and the foot.

    ``ACTIONS`` are those of the table that the screen has, each done by its word or letter on the line. ``TEXTS`` say
    in help what the screen is for.
    """

    AUTO_FOCUS = "#question"
    PROMPT = "> "
    ACTIONS: ClassVar[tuple[Action, ...]] = chosen("help", "colours", "leave")
    TEXTS: ClassVar[tuple[str, ...]] = ()
    BINDINGS: ClassVar[list[BindingType]] = [*bindings()]

    def __init__(self) -> None:
        super().__init__()
        self._leaving = False

    def compose(self) -> ComposeResult:
        """Lay out head, record, what is below it, what is asked, the notice, the line and the foot."""
        self._take_width()
        record = self.make_record()
        yield _empty("head")
        yield record
        yield MoreLine(record)
        yield from self.compose_asking()
        yield _empty("notice")
        with Horizontal(id="line"):
            yield Static(Content(self.PROMPT), id="prompt")
            yield QuestionLine()
        yield Foot(id="foot")

    def make_record(self) -> ScrollableContainer:
        """Return what scrolls, with the id ``record``."""
        return Record(id="record")

    def _take_width(self) -> None:
        """Take the class that the width of the terminal will bring, so that what is laid out need not be again."""
        widths = OneScreenApp.HORIZONTAL_BREAKPOINTS
        mine = max(least for least, _ in widths if self.app.size.width >= least)
        self.update_classes({name: least == mine for least, name in widths}, update=False)

    def compose_asking(self) -> ComposeResult:
        """Lay out what is asked above the line; nothing here."""
        yield from ()

    @property
    def settings(self) -> Settings:
        """What is remembered from one start to the next."""
        return cast("OneScreenApp", self.app).settings

    @property
    def record(self) -> ScrollableContainer:
        """What scrolls."""
        return self.query_one("#record", ScrollableContainer)

    @property
    def line(self) -> QuestionLine:
        """The input line."""
        return self.query_one(QuestionLine)

    def head(self, text: str) -> None:
        """Show where one is above the record; nothing where it is empty."""
        self._tell("#head", text)

    def foot(self, *ids: str) -> None:
        """Show three or four actions at the foot."""
        self.query_one(Foot).actions = chosen(*ids)

    def notice(self, text: str) -> None:
        """Say something above the input line; empty for nothing."""
        self._tell("#notice", sentence(text))

    def _tell(self, name: str, text: str) -> None:
        """Show a text on a line of its own; the same one again lays nothing out."""
        place = self.query_one(name, Static)
        if str(place.content) != printable(text):
            place.update(literal(text))
            place.display = bool(text)

    def help_entry(self) -> HelpEntry:
        """Return help of this screen."""
        return HelpEntry(self.TEXTS, self.ACTIONS)

    def _bounced(self, event: Input.Submitted, text: str) -> bool:
        """Tell whether Enter came again so soon on the empty line that a finger slipped."""
        app = cast("OneScreenApp", self.app)
        last, app.entered = app.entered, event.time
        return not text and event.time - last < app.BOUNCE

    def named(self, text: str) -> Action | None:
        """Return the action whose word or letter was typed, None for any other text."""
        return typed(self.ACTIONS, text)

    async def enter_text(self, text: str) -> None:
        """Take what was typed and is no action's word."""
        raise NotImplementedError

    async def enter_empty(self) -> None:
        """Take Enter on the empty line."""
        raise NotImplementedError

    async def press(self, pressed: Pressable) -> None:
        """Take a line that was tapped, or reached and pressed, and is no action's."""
        raise NotImplementedError

    @on(Input.Submitted)
    async def _submitted(self, event: Input.Submitted) -> None:
        text = printable(event.value)
        if not self.is_current or self._bounced(event, text):
            return
        action = self.named(text)
        if action:
            await self._run(action.id)
        elif text:
            await self.enter_text(text)
        else:
            self.line.value = ""
            await self.enter_empty()

    @on(Pressable.Pressed)
    async def _pressed(self, event: Pressable.Pressed) -> None:
        self.line.focus(scroll_visible=False)
        pressed = event.pressed
        if isinstance(pressed, ActionLine):
            await self._run(pressed.action_id)
        elif pressed.is_attached:
            await self.press(pressed)

    @on(Foot.Tapped)
    async def _tapped(self, event: Foot.Tapped) -> None:
        await self._run(event.action.id)

    @on(QuestionLine.Read)
    async def _space(self) -> None:
        if any(action.id == "read" for action in self.ACTIONS):
            await self._run("read")

    async def _run(self, id: str) -> None:
        self.line.value = ""
        self.line.focus(scroll_visible=False)
        self.notice("")
        await self.run_action(id)

    @on(QuestionLine.Cut)
    def _cut(self) -> None:
        most = f"{MOST_CHARACTERS:,}"
        self.notice(said("What was pasted is too long: its first {n} characters were kept.", n=most))

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

    async def action_done(self) -> None:
        """Do what Enter on the empty line does."""
        await self.enter_empty()

    def action_colours(self) -> None:
        """Change between the dark and the light form."""
        cast("OneScreenApp", self.app).action_toggle_form()

    def action_copy_text(self) -> None:
        """Copy what is marked on the screen or on the line, and say so."""
        marked = self.get_selected_text() or self.line.selected_text
        if not marked:
            raise SkipAction
        self.copied(marked)

    def copied(self, text: str) -> None:
        """Copy a text by way of the terminal, and say so."""
        self.app.copy_to_clipboard(text)
        self.clear_selection()
        self.notice(said("Copied."))

    def interrupt(self) -> None:
        """Close the program at the second time in a row."""
        if self._leaving:
            self.app.exit(int(ExitCode.INTERRUPTED))
        self._leaving = True
        self.notice(said("Press Ctrl+C again to close the program."))

    def action_scroll_down(self) -> None:
        """Scroll the record down a page."""
        self.record.scroll_page_down(animate=False)

    def action_scroll_up(self) -> None:
        """Scroll the record up a page."""
        self.record.scroll_page_up(animate=False)

    def action_earlier(self) -> None:
        """Recall an earlier question."""
        self.line.recall(-1)

    def action_later(self) -> None:
        """Recall a later question."""
        self.line.recall(1)


def _empty(id: str) -> Static:
    """Return a line that takes no room until it says something."""
    line = Static(id=id, markup=False)
    line.display = False
    return line
