"""C607: figures in two units agree."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from assistant.checking.rule import Book, Finding, Rule
from assistant.checking.said import EVERYTHING, clip, figures, found, said

__all__ = ["RULE"]

_PAIRS = (("in|inch|inches", "mm", 25.4), ("lb", "kg", 0.4536), ("lbf", "N", 4.448))
_NEAR = 0.02
_DEGREES = 0.6


@lru_cache(maxsize=1 << 13)
def _fault(text: str) -> str:
    """Say what the first figure that does not agree is in the other unit; empty where all agree."""
    for unit, other, factor in _PAIRS:
        for left, right in zip(figures(text, unit), figures(text, other), strict=False):
            if abs(left * factor - right) > _NEAR * right:
                return f"{left:g} {unit.split('|')[0]} is {left * factor:.{_places(right)}f} {other}, not {right:g}"
    for fahrenheit, celsius in zip(figures(text, "F"), figures(text, "C"), strict=False):
        if abs((fahrenheit - 32) / 1.8 - celsius) > _DEGREES:
            return f"{fahrenheit:g} F is {(fahrenheit - 32) / 1.8:.0f} C, not {celsius:g}"
    return ""


def _places(figure: float) -> int:
    return 0 if figure == int(figure) else 1


def _find(book: Book) -> Iterator[Finding]:
    for one in said(book, *EVERYTHING):
        if fault := _fault(one.text):
            yield found(book, one, f"{fault}: {clip(one.text)}")


RULE = Rule(
    code="C607",
    name="units-agree",
    severity="error",
    summary="A figure that stands in two units is the same in both, within two parts in a hundred.",
    reason="One of the two is what the rep measures by.",
    source="NIST SP 811, conversion factors (from memory)",
    good="Leave 36 in (915 mm) free. A wheelchair needs it.",
    bad="Leave 36 in (1200 mm) free. A wheelchair needs it.",
    find=_find,
    place="why",
)
