"""Links between notes: where they stand in a file, what they lead to, and how one is written."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import PurePosixPath
from typing import NamedTuple

__all__ = ["Link", "links_in", "path_to", "target_of", "written"]

_LINK = re.compile(r"\[((?:\\.|[^\]\[\\])*)\]\((\.\./[^()\s]*)\)")


class Link(NamedTuple):
    """A link as a file has it; ``line`` counts from 1, ``source`` is its Markdown, which may go over two lines."""

    target: str
    text: str
    line: int
    source: str


def path_to(note_id: str) -> str:
    """Return the way from one note to another.

    >>> path_to("lamp-other")
    '../lamp/lamp-other.md'
    """
    return f"../{note_id.partition('-')[0]}/{note_id}.md"


def target_of(href: str) -> str | None:
    """Return the id of the note that a link leads to, None where it leads to no note.

    >>> target_of("../lamp/lamp-other.md")
    'lamp-other'
    """
    target = PurePosixPath(href).stem
    return target if target and href == path_to(target) else None


def links_in(lines: Sequence[str]) -> Iterator[Link]:
    """Yield the links to notes that stand in the lines of a file."""
    text = "\n".join(lines)
    for match in _LINK.finditer(text):
        target = target_of(match[2])
        if target:
            shown = " ".join(re.sub(r"\\(.)", r"\1", match[1]).split())
            yield Link(target, shown, text.count("\n", 0, match.start()) + 1, match[0])


def written(note_id: str, title: str) -> str:
    """Return the Markdown of a link.

    >>> written("lamp-other", "Another lamp")
    '[Another lamp](../lamp/lamp-other.md)'
    """
    text = re.sub(r"([][\\])", r"\\\1", title)
    return f"[{text}]({path_to(note_id)})"
