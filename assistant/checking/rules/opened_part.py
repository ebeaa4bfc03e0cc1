"""C411: no mains part and no device is opened."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PART = (
    r"(?:pad|handheld|headset|display|adapter|power supply|remote|drive|console)(?:'s)?"
    r"(?: (?:shell|case|cover|back|housing))?"
)
_PATTERN = (
    rf"\b(?:open|unscrew|pry open|prise open|take apart|disassemble) (?:up )?(?:the|its|a|an|your) (?:\w+ )?{_PART}\b"
    r"(?! (?:menu|door|lid|settings|own|in the|page|from))(?!'s)|"
    r"\bremove the (?:drive|console) (?:cover|housing)\b|"
    r"\b(?:rewire|wire|connect|change|open|unscrew|remove|replace|repair)\b[^.]*\b(?:wall outlet|outlet cover|"
    r"mains wiring|store wiring|breaker panel|fuse box|junction box)\b"
)

RULE = Rule(
    code="C411",
    name="no-opening",
    severity="error",
    summary="No adapter, drive, console, pad, display, headset or wall outlet is opened or taken apart.",
    reason="Behind the cover lie mains voltage, a laser or a cell; that work is for the workshop or a licensed person.",
    source="29 CFR 1910.334(a)(2)(ii) (restated); 21 CFR 1040.10(f)(1) (restated); 29 CFR 1910.333 (from memory)",
    good="2. Exchange the adapter whole.",
    bad="2. Open the adapter with the screwdriver.",
    find=partial(find_advice, pattern=_PATTERN, message="opens a part that stays closed", sections=DOING),
)
