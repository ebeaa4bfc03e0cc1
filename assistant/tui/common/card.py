"""An answer's blocks as widgets, in the order in which the card gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import Block, card
from assistant.model import Answer
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import Choice, SeeNote
from assistant.tui.common.text import literal, printable

__all__ = ["MATCH_SIGN", "SafetyBox", "card_widgets"]

MATCH_SIGN = ">"
"""Stands before a step that holds what was asked about."""


class SafetyBox(Vertical):
    """A safety message: its signal word and its text."""

    def __init__(self, block: Block) -> None:
        signal = printable(block.head)
        super().__init__(classes=f"safety -{signal.partition(' ')[0].lower()}")
        self._signal = signal
        self._text = block.text

    def compose(self) -> ComposeResult:
        """Lay out the signal word above the text."""
        yield Static(Content(f" ! {self._signal} "), classes="signal")
        yield Static(literal(self._text), classes="hazard")


def card_widgets(answer: Answer) -> Iterator[Widget]:
    """Yield the widgets of an answer's card, top to bottom."""
    steps = answer.note.steps if answer.note else ()
    notes = {branch.text: branch.note for step in steps for branch in step.branches if branch.note}
    for block in card(answer):
        yield _widget(block, notes)


def _widget(block: Block, notes: Mapping[str, str]) -> Widget:
    head = printable(block.head)
    body = literal(block.text)
    if block.kind == "read_as":
        return Hanging("Read as: ", body, classes="read-as", indent=0)
    if block.kind == "action":
        return Static(Content.assemble((f" {head} ", "reverse bold"), " ", body), classes="action")
    if block.kind in ("needs", "contact"):
        return Hanging(f"{head}: ", body, classes=block.kind)
    if block.kind == "emergency":
        return Hanging("! ", body, classes="emergency")
    if block.kind == "safety":
        return SafetyBox(block)
    if block.kind == "step":
        sign = MATCH_SIGN if block.marked else " "
        return Hanging(f"{sign}{head:>2}. ", body, classes="step -match" if block.marked else "step")
    if block.kind == "choice":
        if block.text in notes:
            return SeeNote("- ", block.text, notes[block.text])
        return Hanging("- ", body, classes="branch")
    if block.kind == "item":
        return Hanging("- ", body, classes="item")
    if block.kind == "option":
        return Choice(int(head), block.text, block.target)
    return Static(body, classes=block.kind)
