"""C602: low voltage ends at 60 V DC."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C602",
    name="low-voltage-limit",
    severity="error",
    summary="Low voltage means 60 V DC and 100 VA at most, deadly begins at 50 V AC, and no voltage is harmless.",
    reason="A lead that is called harmless is handled with the power on.",
    source="IEC 62368-1 (2018), Annex Q and ES1 (restated; table from memory); HSE HSG107 (2013) (restated)",
    good="Low voltage means up to 60 V DC. It can still burn.",
    bad="Low voltage means up to 110 V here. It can still burn.",
    find=beyond("C602"),
    place="why",
    needs="limits C602",
)
