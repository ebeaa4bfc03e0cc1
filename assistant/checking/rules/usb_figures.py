"""C601: figures of USB ports."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C601",
    name="usb-figures",
    severity="error",
    summary="A 5 V port gives 4.75 to 5.25 V, 500 mA by USB 2.0 and 900 mA by USB 3, over five metres of lead at most.",
    reason="A rep who measures against a wrong figure exchanges sound parts or leaves weak ones.",
    source="USB 2.0 specification (2000) (restated); USB 3.x from memory",
    good="A 5 V supply reads 4.75 to 5.25 V. A lower reading is a fault.",
    bad="A 5 V supply reads 6.5 V. A lower reading is a fault.",
    find=beyond("C601"),
    place="why",
    needs="limits C601",
)
