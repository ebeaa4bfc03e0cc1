"""A question that is labelled, as widgets: its whole text, its candidates, or the steps of a note."""

from __future__ import annotations

from collections.abc import Iterator

from textual.app import ComposeResult
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.tui.common.entry import Entry
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import OfferLine
from assistant.tui.common.text import literal
from assistant.tui.label.labelling import Labelling

__all__ = ["LabelEntry"]

_MARKS = {"uncovered": "! Uncovered: no note answers it.", "unsure": "! Unsure: left out of the labels."}


class LabelEntry(Entry):
    """The question in hand and what can be marked on it."""

    def __init__(self, at: Labelling) -> None:
        super().__init__()
        self._at = at

    def compose(self) -> ComposeResult:
        """Lay out the question and the numbered lines."""
        at = self._at
        yield Hanging(f"{at.place + 1}. ", literal(at.asked.question), classes="question", indent=2)
        if mark := _MARKS.get(at.judgement.mark):
            yield Static(Content(mark), classes="first-rule")
        if at.opened:
            yield Static(literal(at.note_line(at.opened.id)), classes="text")
            yield Static(literal(at.opened.condition), classes="condition")
        yield Static(Content(self._label()), classes="label")
        yield from self._lines()

    def _label(self) -> str:
        if self._at.ask:
            return "Notes that fit the words" if self._at.offers else "Find a note"
        return "Steps that deal with exactly what is asked" if self._at.opened else "Which notes answer it? Best first"

    def _lines(self) -> Iterator[Widget]:
        at = self._at
        if not at.offers and at.ask is None:
            yield Static(Content("No note comes near. Type words to find one."), classes="text")
        for number, offer in enumerate(at.offers, start=1):
            line = OfferLine(number, offer.text)
            line.set_class(number in at.ticked, "-ticked")
            yield line
            if at.opened and not at.ask:
                for branch in at.opened.steps[number - 1].branches:
                    yield Hanging("- ", literal(branch.text), classes="branch")
