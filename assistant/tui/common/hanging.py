"""A paragraph whose first words stand out at the left and whose further lines keep clear of them."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

__all__ = ["Hanging", "hung"]

_LEAST_BODY = 10


def hung(lead: str, body: Content, indent: int, width: int) -> list[Content]:
    """Return a lead, in bold, and a body as lines of a width in cells, the further ones ``indent`` cells in."""
    first = Content.styled(lead, "bold")
    width = max(1, width)
    indent = indent if width - indent >= _LEAST_BODY else 0
    if indent == len(lead):
        lines = body.wrap(width - indent) or [Content()]
        return [first + lines[0], *(line.pad_left(indent) for line in lines[1:])]
    lines = (first + body).wrap(width)
    if indent and len(lines) > 1:
        rest = Content(" ").join(lines[1:]).wrap(width - indent)
        return [lines[0], *(line.pad_left(indent) for line in rest)]
    return lines


class Hanging(Widget):
    """Text with a lead, wrapped to the width at hand.

    Parameters
    ----------
    lead
        A sign, a number or a word with the space after it; drawn bold.
    body
        What is wrapped beside it.
    indent
        Cells that further lines keep clear; the length of the lead where not given.
    """

    def __init__(self, lead: str, body: Content, *, classes: str = "", indent: int | None = None) -> None:
        super().__init__(classes=classes, markup=False)
        self._lead = lead
        self._body = body
        self._indent = len(lead) if indent is None else indent

    def show_body(self, body: Content) -> None:
        """Show another text beside the lead; the same one again lays nothing out."""
        if not self._body.is_same(body):
            self._body = body
            self.refresh(layout=True)

    def render(self) -> Content:
        """Draw the text at the present width."""
        return Content("\n").join(self.lines(self.content_size.width))

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return how many lines the text takes."""
        return len(self.lines(width))

    def get_content_width(self, container: Size, viewport: Size) -> int:
        """Return the width of the text on one line."""
        return len(self._lead) + self._body.cell_length

    def lines(self, width: int) -> list[Content]:
        """Return the text as it is wrapped to a width."""
        return hung(self._lead, self._body, self._indent, width)
