"""Text that people or notes wrote, made safe to draw: no markup is read, nothing but printable characters is kept."""

from __future__ import annotations

from textual.content import Content

from assistant.analysis.tokens import printable

__all__ = ["literal", "printable"]


def literal(text: str) -> Content:
    """Return ``text`` as content that is drawn as it stands."""
    return Content(printable(text))
