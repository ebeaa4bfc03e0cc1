"""An answer's blocks as widgets, in the order in which the card gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from assistant.answering.card import NONE, STEPS, Block, card
from assistant.languages import said, severity
from assistant.model import Answer
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.pressable import Choice, SeeNote
from assistant.tui.common.text import literal, printable

__all__ = ["MATCH_SIGN", "SafetyBox", "card_widgets", "picture_line"]

MATCH_SIGN = ">"
"""Stands before a step that holds what was asked about."""
_COLOURS = ("danger", "warn", "caution", "notice")
"""Of the signal words, most severe first."""
_WIDE = frozenset({"read_as", "action", "title", "needs"})


class SafetyBox(Static):
    """A safety message: its signal word, in its colours, and its text."""

    def __init__(self, block: Block) -> None:
        signal = printable(block.head)
        colour = _COLOURS[severity(signal.partition(" ")[0])]
        sign = Content.styled(f" ! {signal} ", f"bold $on-{colour} on ${colour}")
        super().__init__(Content.assemble(sign, " ", literal(block.text)), classes="safety", markup=False)


def card_widgets(answer: Answer) -> Iterator[Widget]:
    """Yield the widgets of an answer's card, top to bottom.

    On a narrow screen the head of a note is folded into one paragraph, what it needs stands after its first step and
    what was understood at the end, so that the first step is on the first page where it can be.
    """
    note = answer.note
    notes = {branch.text: branch.note for step in note.steps for branch in step.branches if branch.note} if note else {}
    blocks = card(answer)
    needs = [block for block in blocks if block.kind == "needs"]
    read_as = [block for block in blocks if block.kind == "read_as"]
    past_first = False
    for block in blocks:
        if past_first and block.kind not in ("picture", "choice"):
            past_first = False
            yield _narrow(_needs(needs))
        if block.kind in ("source", "option"):
            yield from (_narrow(_widget(late, notes)) for late in read_as)
            read_as = []
        if block.kind == "action" and note:
            head = said("{action}, {n} min: ", action=printable(block.head), n=note.minutes)
            yield _narrow(Hanging(head, literal(note.title), classes="-head", indent=0))
        widget = _widget(block, notes)
        widget.set_class(block.kind in _WIDE or block.text == said(STEPS), "-wide-only")
        yield widget
        past_first = past_first or (block.kind == "step" and block.head == "1")


def picture_line(block: Block) -> Hanging:
    """Return the line that says what a picture shows and where it lies."""
    return Hanging(f"{printable(block.head)}: ", literal(f"{block.text} ({block.target})"), classes="picture")


def _needs(blocks: Sequence[Block]) -> Widget:
    told = "; ".join(block.text for block in blocks if block.text != said(NONE))
    return Hanging(said("Needs: "), literal(told or said("nothing")), classes="needs", indent=2)


def _narrow(widget: Widget) -> Widget:
    widget.add_class("-narrow-only")
    return widget


def _widget(block: Block, notes: Mapping[str, str]) -> Widget:
    head = printable(block.head)
    body = literal(block.text)
    if block.kind == "read_as":
        return Hanging(said("Read as: "), body, classes="read-as", indent=0)
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
    if block.kind == "picture":
        return picture_line(block)
    if block.kind == "choice":
        if block.text in notes:
            return SeeNote("- ", block.text, notes[block.text])
        return Hanging("- ", body, classes="branch")
    if block.kind == "item":
        return Hanging("- ", body, classes="item")
    if block.kind == "option":
        return Choice(int(head), block.text, block.target)
    return Static(body, classes=block.kind)
