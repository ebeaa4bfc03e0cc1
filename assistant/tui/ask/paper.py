"""The running record of questions and cards, drawn row by row by one widget, so that a card costs what it shows."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual import events
from textual.actions import SkipAction
from textual.binding import Binding, BindingType
from textual.geometry import Offset, Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.selection import Selection
from textual.strip import Strip
from textual.style import Style
from textual.widget import Widget

from assistant.languages import said
from assistant.tui.ask.drawn import draw, marked
from assistant.tui.ask.entries import AnswerSheet, HelpSheet, Sheet
from assistant.tui.ask.laid import Box, Look, Row, laid, look_of
from assistant.tui.common.card import NARROW_ONLY, WIDE_ONLY
from assistant.tui.common.paragraph import Press

__all__ = ["MOST_ENTRIES", "Paper"]

MOST_ENTRIES = 50
"""Answers that stay; the oldest go."""
_HOVER, _FOCUS = " -hover", " -focus"
_PRESSED = ("option", "branch see-note")
_LOOKS = (
    *("asked", "title", "text", "label", "item", "step", "step -match", "branch", "picture", "safety", "emergency"),
    *("contact", "source", "first-rule", "help-line", f"-head{NARROW_ONLY}", f"needs{NARROW_ONLY}"),
    *(f"read-as{NARROW_ONLY}", *(f"{look}{WIDE_ONLY}" for look in ("read-as", "action", "title", "needs", "label"))),
    *_PRESSED,
)
"""Looks of all paragraphs, as the style sheet's classes."""


class Paper(ScrollView, can_focus=False, inherit_bindings=False):
    """Sheets, the newest last and in view from its top.

    Numbered lines and choices can be tapped on every sheet; those of the newest can be reached with Tab and pressed
    with Enter.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        *_LOOKS,
        *(f"{look}{state}" for look in _PRESSED for state in (_HOVER, _FOCUS)),
    }
    FOCUS_ON_CLICK = False
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "go(1)", show=False),
        Binding("shift+tab", "go(-1)", show=False),
        Binding("enter", "press", show=False),
    ]

    class Pressed(Message):
        """A paragraph of a sheet was tapped or pressed."""

        def __init__(self, press: Press, sheet: Sheet) -> None:
            self.press = press
            self.sheet = sheet
            super().__init__()

    def __init__(self) -> None:
        super().__init__(id="record")
        self._sheets: list[Sheet] = []
        self._rows: list[Row | None] = []
        self._tops: list[int] = []
        self._by_sheet: dict[Sheet, list[Row | None]] = {}
        self._looks: dict[str, Look] = {}
        self._laid_for = 0
        self._drawn: dict[tuple[Box, str], list[Strip]] = {}
        self._pointed: Box | None = None
        self._held: Box | None = None
        self._at = 0

    @property
    def sheets(self) -> list[Sheet]:
        """All sheets, oldest first."""
        return list(self._sheets)

    @property
    def newest(self) -> Sheet | None:
        """The newest sheet that is not help."""
        return next((sheet for sheet in reversed(self._sheets) if not isinstance(sheet, HelpSheet)), None)

    @property
    def newest_answer(self) -> AnswerSheet | None:
        """The newest sheet that holds an answer."""
        return next((sheet for sheet in reversed(self._sheets) if isinstance(sheet, AnswerSheet)), None)

    def add(self, sheet: Sheet) -> None:
        """Add a sheet as the newest; help and the welcome make way for an answer."""
        kept = self._sheets
        if isinstance(sheet, AnswerSheet):
            answers: list[Sheet] = [old for old in kept if isinstance(old, AnswerSheet)]
            kept = answers[max(0, len(answers) + 1 - MOST_ENTRIES) :]
        self._show([*kept, sheet])

    def close_help(self) -> bool:
        """Close help and tell whether it was open."""
        kept = [sheet for sheet in self._sheets if not isinstance(sheet, HelpSheet)]
        was_open = len(kept) < len(self._sheets)
        if was_open:
            self._show(kept)
        return was_open

    def boxes(self) -> Iterator[tuple[int, Box]]:
        """Yield the paragraphs of the newest sheet that show, each with its row."""
        first = self._tops[-1] if self._tops else 0
        for y, row in enumerate(self._rows[first:], start=first):
            if row and row.k == 0:
                yield y, row.box

    def _reachable(self) -> list[tuple[int, Box]]:
        """Return what can be reached with Tab, with the row of each."""
        return [(y, box) for y, box in self.boxes() if box.paragraph.look in _PRESSED]

    def _show(self, sheets: list[Sheet]) -> None:
        """Show these sheets, from the top of the newest; marks go where what is marked moves."""
        if self._sheets != sheets[: len(self._sheets)]:
            self.screen.clear_selection()
        self._sheets = sheets
        self._at = 0
        self._pointed = None
        self._lay_out()
        self.scroll_to(y=self._tops[-1] if self._tops else 0, animate=False, force=True)
        self.refresh()

    def _lay_out(self) -> None:
        """Lay out the sheets that are new, or all where width or style sheet have changed, which ends all marks."""
        size = self.outer_size
        if not size or not self._sheets:
            return
        self.can_focus = any(paragraph.look in _PRESSED for paragraph in self._sheets[-1].paragraphs)
        if not self._looks:
            self._looks = self._found_looks()
        before = self._laid_for
        self._set(size.width - (self.styles.scrollbar_size_vertical if len(self._sheets) > 1 else 0))
        if len(self._rows) > size.height and self._laid_for == size.width:
            self._set(size.width - self.styles.scrollbar_size_vertical)
        if self._laid_for != before:
            self.screen.clear_selection()
        self.virtual_size = self._whole(size)
        self._scroll_update(self.virtual_size)

    def _size_updated(self, size: Size, virtual_size: Size, container_size: Size, layout: bool = True) -> bool:
        """Take another size; at the same one the base class would paint the scrollbar once more, a frame later."""
        if size == self.outer_size:
            return False
        if self._tops:  # before the base class clamps what is in view
            self.set_reactive(Widget.virtual_size, self._whole(size))
        return super()._size_updated(size, virtual_size, container_size, layout)

    def _whole(self, size: Size) -> Size:
        """Return what can be scrolled through at a size: the newest sheet gets to the top however short it is."""
        return Size(self._laid_for, max(len(self._rows), self._tops[-1] + size.height))

    def _found_looks(self) -> dict[str, Look]:
        return {look: look_of(self.get_component_styles(look)) for look in _LOOKS}

    def _set(self, width: int) -> None:
        if width != self._laid_for:
            self._laid_for = width
            self._by_sheet.clear()
        known = self._by_sheet
        self._by_sheet = {s: known.get(s) or laid(s.paragraphs, self._looks, width) for s in self._sheets}
        self._drawn.clear()
        self._rows, self._tops = [], []
        for rows in self._by_sheet.values():
            self._tops.append(len(self._rows))
            self._rows += rows

    def on_resize(self) -> None:
        """Lay out anew; what was at the top of the newest sheet stays there."""
        at_top = not self._tops or round(self.scroll_y) == self._tops[-1]
        self._lay_out()
        if at_top and self._tops:
            self.scroll_to(y=self._tops[-1], animate=False, force=True)

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        """Light up nothing until the pointer moves again."""
        super().watch_scroll_y(old_value, new_value)
        self._pointed = None

    def notify_style_update(self) -> None:
        """Draw anew, and lay out anew where room or frames have changed."""
        super().notify_style_update()
        self._drawn.clear()
        if self._looks:
            self.call_later(self._restyle)

    def _restyle(self) -> None:
        looks = self._found_looks()
        if looks != self._looks:
            self._looks = looks
            self._laid_for = 0
            self.on_resize()

    def render_line(self, y: int) -> Strip:
        """Draw one row of what is in view."""
        y += round(self.scroll_y)
        row = self._rows[y] if y < len(self._rows) else None
        strip = self._strips(row.box)[row.k] if row else Strip([])
        if row and (span := self._marked(row, self.text_selection, y)):
            style = self.get_visual_style(self._look(row.box))
            mark = Style.from_styles(self.screen.get_component_styles("screen--selection"))
            strip = marked(strip, row.box, row.k, span, style, mark)
        strip = strip.crop_extend(0, self.size.width, self.visual_style.background_style.rich_style)
        return strip.apply_offsets(0, y)

    def _look(self, box: Box) -> str:
        """Return the look of a box as it is lit up, or not."""
        look = box.paragraph.look
        if look not in _PRESSED:
            return look
        reachable = [one for _, one in self._reachable()] if self.has_focus else []
        focused = reachable[self._at] if self._at < len(reachable) else None
        return look + (_FOCUS if box is focused else _HOVER if box is self._pointed else "")

    def _strips(self, box: Box) -> list[Strip]:
        """Return the rows of a box, drawn."""
        look = self._look(box)
        drawn = self._drawn.get((box, look))
        if drawn is None:
            frame = self.get_component_styles(look).border_top[1]
            drawn = draw(box, self.get_visual_style(look), frame, self.visual_style)
            self._drawn[box, look] = drawn
        return drawn

    def _marked(self, row: Row, selection: Selection | None, y: int) -> tuple[int, int] | None:
        """Return from which to which character of a row's text is marked; nothing but text is."""
        span = selection.get_span(y) if selection else None
        text = row.box.line(row.k)
        if span is None or not text:
            return None
        start, end = (place - row.box.left for place in span)
        return max(0, start), len(text) if span[1] == -1 else max(0, end)

    def get_selection(self, selection: Selection) -> tuple[str, str] | None:
        """Return the text that is marked, a line for each row of text."""
        told = []
        for y, row in enumerate(self._rows):
            if row and (span := self._marked(row, selection, y)):
                told.append(row.box.line(row.k)[slice(*span)])
        return "\n".join(told), "\n"

    def selection_updated(self, selection: Selection | None) -> None:
        """Draw what is marked."""
        self.refresh()

    @property
    def select_container(self) -> Widget:
        """What marking stays within."""
        return self

    def text_select_all(self) -> None:
        """Mark the paragraph that was tapped twice."""
        ys = [y for y, row in enumerate(self._rows) if row and row.box is self._held]
        if ys:
            self.screen.selections = {self: Selection(Offset(0, ys[0]), Offset(self._laid_for, ys[-1]))}

    def _box_at(self, event: events.MouseEvent) -> Box | None:
        y = int(event.y) + round(self.scroll_y)
        row = self._rows[y] if 0 <= y < len(self._rows) else None
        return row.box if row and row.box.edge <= event.x < row.box.edge + row.box.outer else None

    def on_mouse_move(self, event: events.MouseMove) -> None:
        """Light up what a tap would press."""
        box = self._box_at(event)
        self.tooltip = said("Put this question on the line again") if _kind(box) == "again" else None
        self._point(box)

    def on_leave(self) -> None:
        """Light up nothing."""
        self._point(None)

    def _point(self, box: Box | None) -> None:
        if box is not self._pointed:
            self._pointed = box
            self.refresh()

    def on_mouse_down(self, event: events.MouseDown) -> None:
        """Remember what was tapped: dragging over text presses nothing."""
        self._held = self._box_at(event)

    def on_click(self, event: events.Click) -> None:
        """Take a tap."""
        box = self._box_at(event)
        if box and box is self._held and box.paragraph.press and not self.text_selection:
            event.stop()
            self._post(box)

    def _post(self, box: Box) -> None:
        press = box.paragraph.press
        sheet = next((s for s, rows in self._by_sheet.items() if any(row and row.box is box for row in rows)), None)
        if press and sheet:
            self.post_message(self.Pressed(press, sheet))

    def action_press(self) -> None:
        """Press the line that was reached."""
        for _, box in self._reachable()[self._at : self._at + 1]:
            self._post(box)

    def action_go(self, by: int) -> None:
        """Go to the next line that can be pressed, or the one before; from the last one on to what follows."""
        if not 0 <= self._at + by < len(self._reachable()):
            raise SkipAction
        self._at += by
        self._bring_into_view()

    def reach_last(self) -> None:
        """Begin at the last line that can be pressed."""
        self._at = len(self._reachable()) - 1
        self._bring_into_view()

    def on_focus(self) -> None:
        """Show which line was reached."""
        self._bring_into_view()

    def on_blur(self) -> None:
        """Begin at the first line the next time, unless it is the whole window that lost the keyboard."""
        if self.app.app_focus:
            self._at = 0
        self.refresh()

    def _bring_into_view(self) -> None:
        reachable = self._reachable()
        if self._at < len(reachable):
            y, box = reachable[self._at]
            seen = round(self.scroll_y) <= y and y + box.rows <= round(self.scroll_y) + self.size.height
            if not seen:
                place = Region(0, y, self._laid_for, box.rows)
                self.scroll_to_region(place, center=True, origin_visible=True, animate=False, force=True)
        self.refresh()


def _kind(box: Box | None) -> str:
    return box.paragraph.press.kind if box and box.paragraph.press else ""
