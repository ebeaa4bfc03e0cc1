"""Drawing a card on a plain terminal or into a file: words alone, no escape sequences."""

from __future__ import annotations

import os
import sys

from assistant.analysis.tokens import json_line, printable
from assistant.answering.card import Block, card
from assistant.errors import AssistantError
from assistant.languages import said

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Iterable

    from assistant.model import Answer

__all__ = ["MATCH_SIGN", "answer_line", "answer_text", "terminal_width", "write_out"]

MATCH_SIGN = ">"
"""Stands before a step that holds what was asked about."""
_INDENT = "    "
_WIDEST = 100


def terminal_width() -> int:
    """Return the columns to write to: those of the terminal, 100 at most; 80 without one."""
    try:
        columns = os.get_terminal_size(sys.stdout.fileno()).columns
    except (OSError, ValueError):
        columns = 0
    return min(_WIDEST, columns or 80)


def answer_text(answer: Answer, width: int = 80) -> str:
    """Return the card as lines of at most ``width`` columns."""
    blocks = [Block(b.kind, printable(b.text), printable(b.head), b.marked, printable(b.target)) for b in card(answer)]
    return "\n".join(line.rstrip() for block in blocks for line in _draw(block, width)) + "\n"


def answer_line(answer: Answer) -> str:
    """Return the answer as one line of JSON; characters that a terminal could act on are written as escapes."""
    from assistant.answering.contract import answer_to_json

    return json_line(answer_to_json(answer))


def write_out(text: str, output: str | None) -> None:
    """Print ``text``, or write it to a file that is not there yet; no part of a file stays behind.

    Raises
    ------
    AssistantError
        If the file is there already.
    OSError
        If it cannot be written.
    """
    if output is None:
        print(text.rstrip("\n"))
        return
    from pathlib import Path

    from assistant.notes.writing import write_new

    try:
        write_new(Path(output), text)
    except FileExistsError as error:
        raise AssistantError(f"{output}: is there already; name another file") from error
    print(f"written: {output}", file=sys.stderr)


def _draw(block: Block, width: int) -> Iterable[str]:
    if block.kind == "read_as":
        return [*_wrap(said("Read as: {words}", words=block.text), width), ""]
    if block.kind == "action":
        return _wrap(f"{block.head} - {block.text}", width)
    if block.kind in ("needs", "contact"):
        return _wrap(f"{block.head}: {block.text}", width)
    if block.kind == "label":
        return ["", f"{block.text}:"]
    if block.kind == "emergency":
        return [*_wrap(f"! {block.text}", width, "  "), ""]
    if block.kind == "safety":
        return ["", *_wrap(f"! {block.head}: {block.text}", width, "  "), ""]
    if block.kind == "step":
        return _wrap(f"{MATCH_SIGN if block.marked else ' '} {block.head}. {block.text}", width, _INDENT)
    if block.kind == "picture":
        return _wrap(f"{_INDENT}{block.head}: {block.text} ({block.target})", width, _INDENT + "  ")
    if block.kind == "choice":
        return _wrap(f"{_INDENT}- {block.text}", width, _INDENT + "  ")
    if block.kind == "source":
        return ["", *_wrap(block.text, width)]
    if block.kind == "option":
        return _wrap(f"  {block.head}) {block.text} [{block.target}]", width, _INDENT + " ")
    return _wrap(block.text, width)


def _wrap(text: str, width: int, indent: str = "") -> list[str]:
    """Return what `textwrap.wrap` does, which is loaded only where a word has to be cut or spaces stand in a row."""
    width = max(20, width)
    text = text.rstrip()
    if len(text) <= width:
        return [text]
    words = text.split()
    first = len(text) - len(text.lstrip(" ")) + len(words[0])
    if max(first, max(map(len, words)) + len(indent)) > width or "  " in text.lstrip(" "):
        from textwrap import wrap

        return wrap(text, width, subsequent_indent=indent, break_on_hyphens=False)
    lines: list[str] = []
    while len(text) > width:
        end = text.rindex(" ", 0, width + 1)
        lines.append(text[:end])
        text = indent + text[end + 1 :]
    return [*lines, text]
