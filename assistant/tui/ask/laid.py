"""Paragraphs as rows of a width: margins, frames and wrapped lines as the style sheet has them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from textual.content import Content
from textual.css.styles import StylesBase
from textual.geometry import Spacing

from assistant.tui.common.paragraph import Paragraph

__all__ = ["EDGE", "Box", "Look", "Row", "laid", "look_of"]

_MOST_CELLS = 100
EDGE = 1
"""Cells that stay free at both sides, and rows below."""


class Look(NamedTuple):
    """How a paragraph is set: whether it shows, the room around and inside, the line above or all around.

    ``line`` is what the style sheet calls the border, empty for none; ``around`` tells whether it goes all around.
    """

    shows: bool
    margin: Spacing
    padding: Spacing
    line: str
    around: bool


class Box:
    """A paragraph at its place.

    Attributes
    ----------
    lines
        Its text, wrapped to ``width`` cells.
    left
        The column of the text.
    above
        Rows of its frame above the text.
    rows
        All of its rows.
    """

    def __init__(self, paragraph: Paragraph, look: Look, width: int) -> None:
        frame = int(look.around)
        self.paragraph = paragraph
        self.look = look
        self.outer = width - 2 * EDGE - look.margin.width
        self.width = max(1, self.outer - 2 * frame - look.padding.width)
        self.lines: list[Content] = paragraph.lines(self.width)
        self.edge = EDGE + look.margin.left
        self.left = self.edge + frame + look.padding.left
        self.above = int(bool(look.line))
        self.rows = self.above + len(self.lines) + frame

    def line(self, k: int) -> str:
        """Return the text of its row ``k``, empty on its frame."""
        return self.lines[k - self.above].plain if 0 <= k - self.above < len(self.lines) else ""


class Row(NamedTuple):
    """Row ``k`` of a box."""

    box: Box
    k: int


def look_of(styles: StylesBase) -> Look:
    """Return how a paragraph of these styles is set."""
    (line, _), _, _, (side, _) = styles.border
    return Look(styles.display != "none", styles.margin, styles.padding, line, bool(side))


def laid(paragraphs: Iterable[Paragraph], looks: Mapping[str, Look], width: int) -> list[Row | None]:
    """Return the rows of paragraphs one below another, None for an empty one; of two margins that meet the larger."""
    width = min(width, _MOST_CELLS)
    rows: list[Row | None] = []
    below = 0
    for paragraph in paragraphs:
        look = looks[paragraph.look]
        if look.shows:
            rows += [None] * max(below, look.margin.top)
            box = Box(paragraph, look, width)
            rows += [Row(box, k) for k in range(box.rows)]
            below = look.margin.bottom
    return [*rows, *[None] * (below + EDGE)]
