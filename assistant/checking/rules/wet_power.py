"""C414: nothing wet gets power or a bare hand."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:plug|switch|turn)\b[^.]*\b(?:on|in)\b[^.]*\b(?:while|still) (?:it is )?(?:wet|damp)\b|\bhair ?dryer\b|"
    r"\bbag of rice\b|\b(?:touch|hold|grip|pull|use|press|switch)\b[^.]*\bwet (?:switch|plug|strip|outlet|lead)\b"
)

RULE = Rule(
    code="C414",
    name="no-wet-power",
    severity="error",
    summary="Nothing wet is switched on, plugged in, blown dry with heat or touched at the plug.",
    reason="Water carries the voltage to the hand and stays inside longer than it shows.",
    source="HSE HSG107, 3rd edition (2013), wet equipment (restated)",
    good="2. Leave the wet strip alone.",
    bad="2. Pull the wet plug.",
    find=partial(find_advice, pattern=_PATTERN, message="touches or powers a wet part", sections=DOING),
)
