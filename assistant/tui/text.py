"""Text that people or notes wrote, made safe to draw: no markup is read, nothing but printable characters is kept."""

from __future__ import annotations

import unicodedata

from textual.content import Content

__all__ = ["literal", "printable"]


def printable(text: str) -> str:
    """Return ``text`` on one line, without control, format and unassigned characters."""
    kept = "".join(
        " " if character.isspace() else character
        for character in text
        if character.isspace() or unicodedata.category(character)[0] != "C"
    )
    return " ".join(kept.split())


def literal(text: str) -> Content:
    """Return ``text`` as content that is drawn as it stands."""
    return Content(printable(text))
