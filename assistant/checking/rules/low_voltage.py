"""C602: low voltage ends at 60 V DC."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, has, outside_limits

__all__ = ["RULE"]

_HARMLESS = (
    r"\blow.voltage\b[^.]*\b(?:is harmless|cannot hurt|safe to touch|no danger|so safe)\b|"
    r"\bonly low voltage\b"
)


def _wrong(text: str) -> bool:
    if has(text, r"\blow voltage\b") and (
        any(volts > 60 for volts in figures(text, "V")) or any(power > 100 for power in figures(text, "VA"))
    ):
        return True
    return has(text, r"\b(?:above|over|from) (?!50 )\d+ V AC\b") or has(text, _HARMLESS)


RULE = Rule(
    code="C602",
    name="low-voltage-limit",
    severity="error",
    summary="Low voltage means 60 V DC and 100 VA at most, deadly begins at 50 V AC, and no voltage is harmless.",
    reason="A lead that is called harmless is handled with the power on.",
    source="IEC 62368-1 (2018), Annex Q and ES1 (restated; table from memory); HSE HSG107 (2013) (restated)",
    good="Low voltage means up to 60 V DC. It can still burn.",
    bad="Low voltage means up to 110 V here. It can still burn.",
    find=outside_limits(_wrong),
    place="why",
)
