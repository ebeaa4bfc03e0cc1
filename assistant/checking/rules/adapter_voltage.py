"""C415: a power supply has the voltage that the device asks for."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_worded
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C415",
    name="no-other-voltage",
    severity="error",
    summary="No adapter of another voltage or of fewer amps is tried, and a plug that fits is not taken for a match.",
    reason="Plugs are not keyed for voltage, and the wrong one destroys the device or starts a fire.",
    source="IEC 60320, couplers not keyed for voltage (restated); common practice (from memory)",
    good="2. Compare the voltage on both labels.",
    bad="2. Try a higher voltage for faster charging.",
    find=partial(find_worded, code="C415", sections=DOING),
    needs="advice C415",
)
