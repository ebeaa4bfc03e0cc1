"""Text that people or notes wrote, made safe to draw: no markup is read, nothing but printable characters is kept."""

from __future__ import annotations

from textual.content import Content

from assistant.analysis.tokens import printable

__all__ = ["literal", "printable", "sentence"]

_ENDS = ".?!:"


def literal(text: str) -> Content:
    """Return ``text`` as content that is drawn as it stands."""
    return Content(printable(text))


def sentence(text: str) -> str:
    """Return a notice that begins with a capital letter, unless with a name that has none, and ends with a full stop.

    >>> sentence("type 1 to 4"), sentence("pad-cap: no such note")
    ('Type 1 to 4.', 'pad-cap: no such note.')
    """
    first = text.split(" ", 1)[0].rstrip(",;:.")
    begun = text[:1].upper() + text[1:] if first.isalpha() else text
    return begun if not begun or begun[-1] in _ENDS else f"{begun}."
