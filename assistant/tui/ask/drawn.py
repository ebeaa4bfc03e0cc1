"""A paragraph at its place as strips of a terminal: text, ground and frame."""

from __future__ import annotations

from operator import itemgetter

from rich.segment import Segment
from rich.style import Style as RichStyle
from textual.color import Color
from textual.strip import Strip
from textual.style import Style

from assistant.tui.ask.laid import Box

__all__ = ["draw", "ground", "restyled"]

_FRAMES = {"solid": "┌─┐│└─┘", "heavy": "┏━┓┃┗━┛"}
"""By the style sheet's name: three signs of the top, the side, three of the foot."""


def ground(style: Style) -> RichStyle:
    """Return what lies behind a text."""
    return style.background_style.rich_style


def draw(box: Box, style: Style, frame: Color, page: Style) -> list[Strip]:
    """Return the rows of a box, from the left edge of the page to the right end of the box."""
    fill = ground(style)
    framed = Style(style.background, frame).rich_style
    across = box.outer - 2
    top, foot, side = [], [], ""
    if box.look.line:
        signs = _FRAMES[box.look.line]
        if box.look.around:
            side = signs[3]
            top = [[Segment(f"{signs[0]}{signs[1] * across}{signs[2]}", framed)]]
            foot = [[Segment(f"{signs[4]}{signs[5] * across}{signs[6]}", framed)]]
        else:
            top = [[Segment(signs[1] * box.outer, framed)]]
    before = [Segment(side, framed), Segment(" " * box.look.padding.left, fill)]
    after = [Segment(" " * box.look.padding.right, fill), Segment(side, framed)]
    texts = (Strip(line.render_segments(style), line.cell_length) for line in box.lines)
    inside = [[*before, *text.extend_cell_length(box.width, fill), *after] for text in texts]
    edge = Segment(" " * box.edge, ground(page))
    return [Strip([edge, *filter(itemgetter(0), row)]) for row in (*top, *inside, *foot)]


def restyled(strip: Strip, span: tuple[int, int], style: RichStyle) -> Strip:
    """Return a strip whose characters of a span have another style on top of theirs."""
    start, end = span
    segments = []
    place = 0
    for text, own, _ in strip:
        first, last = (max(0, min(len(text), cut - place)) for cut in (start, max(start, end)))
        segments += [
            Segment(text[:first], own),
            Segment(text[first:last], (own or RichStyle()) + style),
            Segment(text[last:], own),
        ]
        place += len(text)
    return Strip([segment for segment in segments if segment.text])
