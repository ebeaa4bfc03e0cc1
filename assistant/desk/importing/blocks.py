"""What an old procedure is read into, whatever kind of file it came from."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

from assistant.analysis.tokens import printable
from assistant.notes.text import forbidden_characters

__all__ = ["Block", "Left", "Source", "kept", "words_of"]

_WORD = re.compile(r"[^\W_]+")


class Block(NamedTuple):
    """One heading, paragraph, list item or table, as plain text.

    ``line`` is where it stands: the line of a text file, the number of the paragraph in a Word file. ``level`` is that
    of a heading, or how deep the list of an item lies, from 1. ``number`` is that of a numbered item, 0 for a bullet.
    ``more`` is a further paragraph of the item before it. ``rows`` are the cells of a table.
    """

    kind: Literal["heading", "text", "item", "more", "table"]
    line: int
    text: str = ""
    level: int = 0
    number: int = 0
    rows: tuple[tuple[str, ...], ...] = ()


class Left(NamedTuple):
    """What found no place in a note, or lost something on its way into one, and where it stood."""

    place: str
    line: int
    what: str
    text: str = ""

    def __str__(self) -> str:
        return f"{self.place}:{self.line}: {self.what}" + (f": {self.text}" if self.text else "")


class Source(NamedTuple):
    """One file as it was read.

    ``place`` names it in messages, ``name`` is what a note without a heading is called. ``lines`` are (line, text) of
    all that a reader of the file sees, in no form, so that what the blocks do not hold can be told.
    """

    place: str
    name: str
    blocks: tuple[Block, ...]
    left: tuple[Left, ...]
    lines: tuple[tuple[int, str], ...]


def kept(text: str) -> str:
    """Return a text on one line, without the characters that no note may hold."""
    shown = printable(text)
    return shown if not forbidden_characters(shown) else "".join(c for c in shown if not forbidden_characters(c))


def words_of(text: str) -> list[str]:
    """Return the words and numbers of a text in any case, in their order."""
    return [word.casefold() for word in _WORD.findall(kept(text))]
