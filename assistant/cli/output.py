"""Drawing a card on a plain terminal or into a file: words alone, no escape sequences."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from assistant.answering.card import Block, card
from assistant.model import Answer

__all__ = ["MATCH_SIGN", "answer_text"]

MATCH_SIGN = ">"
"""Stands before a step that holds what was asked about."""
_INDENT = "    "


def answer_text(answer: Answer, width: int = 80) -> str:
    """Return the card as lines of at most ``width`` columns."""
    return "\n".join(line.rstrip() for block in card(answer) for line in _draw(block, width)) + "\n"


def _draw(block: Block, width: int) -> Iterable[str]:
    if block.kind == "read_as":
        return [*_wrap(f"Read as: {block.text}", width), ""]
    if block.kind == "action":
        return _wrap(f"{block.head} - {block.text}", width)
    if block.kind == "needs":
        return _wrap(f"{block.head}: {block.text}", width)
    if block.kind == "label":
        return ["", f"{block.text}:"]
    if block.kind == "safety":
        return ["", *_wrap(f"! {block.head}: {block.text}", width, "  "), ""]
    if block.kind == "step":
        return _wrap(f"{MATCH_SIGN if block.marked else ' '} {block.head}. {block.text}", width, _INDENT)
    if block.kind == "choice":
        return _wrap(f"{_INDENT}- {block.text}", width, _INDENT + "  ")
    if block.kind == "source":
        return ["", *_wrap(block.text, width)]
    if block.kind == "option":
        return _wrap(f"  {block.head}) {block.text} [{block.target}]", width, _INDENT + " ")
    return _wrap(block.text, width)


def _wrap(text: str, width: int, indent: str = "") -> list[str]:
    return textwrap.wrap(text, max(20, width), subsequent_indent=indent, break_on_hyphens=False) or [""]
