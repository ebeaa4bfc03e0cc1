"""A paragraph at its place as strips of a terminal: text, ground and frame."""

from __future__ import annotations

from textual.color import Color
from textual.content import Content
from textual.strip import Strip
from textual.style import Style

from assistant.tui.ask.laid import Box

__all__ = ["draw", "marked"]

_FRAMES = {"solid": "┌─┐│└─┘", "heavy": "┏━┓┃┗━┛"}
"""By the style sheet's name: three signs of the top, the side, three of the foot."""


def draw(box: Box, style: Style, frame: Color, page: Style) -> list[Strip]:
    """Return the rows of a box, from the left edge of the page to the right end of the box."""
    ground = style.background_style
    framed = Style(style.background, frame)
    across = box.outer - 2
    top, foot, side = [], [], ""
    if box.look.line:
        signs = _FRAMES[box.look.line]
        if box.look.around:
            side = signs[3]
            top = [[_run(f"{signs[0]}{signs[1] * across}{signs[2]}", framed)]]
            foot = [[_run(f"{signs[4]}{signs[5] * across}{signs[6]}", framed)]]
        else:
            top = [[_run(signs[1] * box.outer, framed)]]
    before = [_run(side, framed), _run(" " * box.look.padding.left, ground)]
    after = [_run(" " * box.look.padding.right, ground), _run(side, framed)]
    texts = (Strip(line.render_segments(style), line.cell_length) for line in box.lines)
    inside = [[*before, text.extend_cell_length(box.width, ground.rich_style), *after] for text in texts]
    edge = _run(" " * box.edge, page.background_style)
    return [Strip.join([edge, *row]) for row in (*top, *inside, *foot)]


def _run(text: str, style: Style) -> Strip | None:
    return Strip(Content(text).render_segments(style)) if text else None


def marked(strip: Strip, box: Box, k: int, span: tuple[int, int], style: Style, mark: Style) -> Strip:
    """Return row ``k`` of a box, drawn in ``style``, with ``mark`` on top of that for a span of its text."""
    line = box.lines[k - box.above]
    text = Strip(line.stylize(mark, *span).render_segments(style), line.cell_length)
    return Strip.join([strip.crop(0, box.left), text, strip.crop(box.left + line.cell_length)])
