"""C607: figures in two units agree."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, outside_limits

__all__ = ["RULE"]

_PAIRS = (("in|inch|inches", "mm", 25.4), ("lb", "kg", 0.4536), ("lbf", "N", 4.448))
_NEAR = 0.02
_DEGREES = 0.6


def _wrong(text: str) -> bool:
    for unit, other, factor in _PAIRS:
        pairs = zip(figures(text, unit), figures(text, other), strict=False)
        if any(abs(left * factor - right) > _NEAR * right for left, right in pairs):
            return True
    heats = zip(figures(text, "F"), figures(text, "C"), strict=False)
    return any(abs((fahrenheit - 32) / 1.8 - celsius) > _DEGREES for fahrenheit, celsius in heats)


RULE = Rule(
    code="C607",
    name="units-agree",
    severity="error",
    summary="A figure that stands in two units is the same in both, within two parts in a hundred.",
    reason="One of the two is what the rep measures by.",
    source="NIST SP 811, conversion factors (from memory)",
    good="Leave 36 in (915 mm) free. A wheelchair needs it.",
    bad="Leave 36 in (1200 mm) free. A wheelchair needs it.",
    find=outside_limits(_wrong),
    place="why",
)
