"""C601: figures of USB ports."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, has, outside_limits

__all__ = ["RULE"]


def _wrong(text: str) -> bool:
    if has(text, r"\b5 V supply\b|\bVBUS\b") and any(not 4.75 <= volts <= 5.25 for volts in figures(text, "V")):
        return True
    if has(text, r"\bUSB 3\b|\bUSB 3\.\w\b") and any(current not in {150, 900} for current in figures(text, "mA")):
        return True
    return has(text, r"\bUSB 2\.0\b") and (
        any(current not in {100, 500} for current in figures(text, "mA"))
        or any(current != 0.5 for current in figures(text, "A|amperes?"))
        or any(length > 5 for length in figures(text, "m|metres?"))
        or has(text, r"\b(?:six|eight|ten|twenty) metres\b")
    )


RULE = Rule(
    code="C601",
    name="usb-figures",
    severity="error",
    summary="A 5 V port gives 4.75 to 5.25 V, 500 mA by USB 2.0 and 900 mA by USB 3, over five metres of lead at most.",
    reason="A rep who measures against a wrong figure exchanges sound parts or leaves weak ones.",
    source="USB 2.0 specification (2000) (restated); USB 3.x from memory",
    good="A 5 V supply reads 4.75 to 5.25 V. A lower reading is a fault.",
    bad="A 5 V supply reads 6.5 V. A lower reading is a fault.",
    find=outside_limits(_wrong),
    place="why",
)
