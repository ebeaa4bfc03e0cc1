"""An answer's blocks as paragraphs, in the order in which the card gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from textual.content import Content
from textual.widgets import Static

from assistant.answering.card import NONE, STEPS, Block, card
from assistant.languages import said, severity
from assistant.model import Answer
from assistant.tui.common.hanging import Hanging
from assistant.tui.common.paragraph import Paragraph, Press
from assistant.tui.common.text import literal, printable

__all__ = ["MATCH_SIGN", "NARROW_ONLY", "WIDE_ONLY", "SafetyBox", "card_paragraphs", "picture_line"]

MATCH_SIGN = ">"
"""Stands before a step that holds what was asked about."""
NARROW_ONLY = " -narrow-only"
WIDE_ONLY = " -wide-only"
_COLOURS = ("danger", "warn", "caution", "notice")
"""Of the signal words, most severe first."""
_WIDE = frozenset({"read_as", "action", "title", "needs"})


class SafetyBox(Static):
    """A safety message: its signal word, in its colours, and its text."""

    def __init__(self, block: Block) -> None:
        super().__init__(_message(block), classes="safety", markup=False)


def card_paragraphs(answer: Answer) -> Iterator[Paragraph]:
    """Yield the paragraphs of an answer's card, top to bottom.

    On a narrow screen the head of a note is folded into one paragraph, what it needs into another, and what was
    understood stands at the end, so that the first step is on the first page where it can be.
    """
    note = answer.note
    notes = {branch.text: branch.note for step in note.steps for branch in step.branches if branch.note} if note else {}
    blocks = card(answer)
    needs = [block for block in blocks if block.kind == "needs"]
    read_as = [block for block in blocks if block.kind == "read_as"]
    for block in blocks:
        if block.kind in ("source", "option"):
            yield from (_with(_paragraph(late, notes), NARROW_ONLY) for late in read_as)
            read_as = []
        if block.kind == "action" and note:
            head = said("{action}, {n} min: ", action=printable(block.head), n=note.minutes)
            yield Paragraph(f"-head{NARROW_ONLY}", literal(note.title), head, 0)
        drawn = _paragraph(block, notes)
        wide = block.kind in _WIDE or (block.kind == "label" and block.text == said(STEPS))
        yield _with(drawn, WIDE_ONLY) if wide else drawn
        if needs and block is needs[-1]:
            yield _needs(needs)


def picture_line(block: Block) -> Hanging:
    """Return the line that says what a picture shows and where it lies."""
    return _paragraph(block, {}).widget()


def _needs(blocks: Sequence[Block]) -> Paragraph:
    told = "; ".join(block.text for block in blocks if block.text != said(NONE))
    return Paragraph(f"needs{NARROW_ONLY}", literal(told or said("nothing")), said("Needs: "), 2)


def _with(paragraph: Paragraph, only: str) -> Paragraph:
    return paragraph._replace(look=paragraph.look + only)


def _message(block: Block) -> Content:
    signal = printable(block.head)
    colour = _COLOURS[severity(signal.partition(" ")[0])]
    sign = Content.styled(f" ! {signal} ", f"bold $on-{colour} on ${colour}")
    return Content.assemble(sign, " ", literal(block.text))


def _paragraph(block: Block, notes: Mapping[str, str]) -> Paragraph:
    head = printable(block.head)
    body = literal(block.text)
    if block.kind == "read_as":
        return Paragraph("read-as", body, said("Read as: "), 0)
    if block.kind == "action":
        return Paragraph("action", Content.assemble((f" {head} ", "reverse bold"), " ", body))
    if block.kind in ("needs", "contact"):
        return Paragraph(block.kind, body, f"{head}: ")
    if block.kind == "emergency":
        return Paragraph("emergency", body, "! ")
    if block.kind == "safety":
        return Paragraph("safety", _message(block))
    if block.kind == "step":
        sign = MATCH_SIGN if block.marked else " "
        return Paragraph("step -match" if block.marked else "step", body, f"{sign}{head:>2}. ")
    if block.kind == "picture":
        return Paragraph("picture", literal(f"{block.text} ({block.target})"), f"{head}: ")
    if block.kind == "choice":
        if block.text in notes:
            return Paragraph("branch see-note", body, "- ", press=Press("see", notes[block.text]))
        return Paragraph("branch", body, "- ")
    if block.kind == "item":
        return Paragraph("item", body, "- ")
    if block.kind == "option":
        return Paragraph("option", body, f"{int(head):<2} ", press=Press("pick", block.target))
    return Paragraph(block.kind, body)
