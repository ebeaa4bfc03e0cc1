"""C415: an adapter has the voltage that the device asks for."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:higher|more|greater) volt\w*\b[^.]*\b(?:faster|quicker|better|fine|ok|works)\b|"
    r"\b(?:use|fit|take|try|choose)\b[^.]*\b(?:higher|lower|other|different) volt\w*|"
    r"\b(?:lower|smaller|fewer|less) (?:amps?|current)\b[^.]*\b(?:fine|enough|ok|works|do)\b|"
    r"\bif (?:the|a) plug fits[^.]*\b(?:use|go to|adapter is right|works|powers)\b|"
    r"\b(?:try|test|use|plug in|borrow)\b[^.]*\b(?:damaged|cracked|broken|burnt|wet) adapter\b"
)

RULE = Rule(
    code="C415",
    name="no-other-voltage",
    severity="error",
    summary="No adapter of another voltage or of fewer amps is tried, and a plug that fits is not taken for a match.",
    reason="Plugs are not keyed for voltage, and the wrong one destroys the device or starts a fire.",
    source="IEC 60320, couplers not keyed for voltage (restated); common practice (from memory)",
    good="2. Compare the voltage on both labels.",
    bad="2. Try a higher voltage for faster charging.",
    find=partial(find_advice, pattern=_PATTERN, message="takes an adapter that does not match", sections=DOING),
)
