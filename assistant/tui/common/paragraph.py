"""A paragraph of a card, of the welcome or of help: its words, its look, and what a press of it does."""

from __future__ import annotations

from typing import Literal, NamedTuple

from textual.content import Content

from assistant.tui.common.hanging import Hanging, hung

__all__ = ["Paragraph", "Press", "PressKind"]

PressKind = Literal["again", "ask", "pick", "see"]
_WIDE = 56
"""Cells from which on a long question is shown whole."""
_MORE = "..."


class Press(NamedTuple):
    """What a press does.

    ``again`` puts the question ``value`` on the line, ``ask`` asks it. ``pick``, a numbered line, and ``see``, a choice
    under a step, show the note whose id ``value`` is.
    """

    kind: PressKind
    value: str


class Paragraph(NamedTuple):
    """Text with a lead, which is drawn bold.

    ``look`` names its classes in the style sheet. Further lines keep ``indent`` cells clear, as many as the lead has
    where it is None.
    """

    look: str
    body: Content
    lead: str = ""
    indent: int | None = None
    press: Press | None = None

    def lines(self, width: int) -> list[Content]:
        """Return the text as it is wrapped to a width, of a long question on a narrow screen its beginning."""
        whole = hung(self.lead, self.body, len(self.lead) if self.indent is None else self.indent, width)
        if self.press is None or self.press.kind != "again" or len(whole) == 1 or width >= _WIDE:
            return whole
        return [whole[0].truncate(width - len(_MORE)) + _MORE]

    def widget(self) -> Hanging:
        """Return a widget that shows the text and cannot be pressed."""
        return Hanging(self.lead, self.body, classes=self.look, indent=self.indent)
