"""C403: no safety device is bypassed."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:hold|tape|press|wedge|bypass|bridge|defeat|block|trick|jam)\b[^.]*\b(?:lid|safety|interlock|door) switch\b|"
    r"\b(?:tape|wedge|weigh|hold) (?:down )?(?:the|its) (?:lid|cover)\b|"
    r"\b(?:cut|remove|break|bend|tape|lift|bypass|file|disconnect)\b[^.]*\b(?:earth|ground(?:ing)?)\b|"
    r"\b(?:use|fit|take)\b[^.]*\b(?:two-pin|cheater|ungrounded)\b|\b(?:bridge|bypass|replace) the fuse\b|"
    r"\b(?:hold|tape|wedge)\b[^.]*\bbreaker\b|\b(?:reset|switch)\b[^.]*\bbreaker\b[^.]*\b(?:again|until|repeatedly|twice)\b"
)

RULE = Rule(
    code="C403",
    name="no-bypass",
    severity="error",
    summary="No lid switch, breaker, earth pin, fuse or cover is held, bridged, wedged or left out.",
    reason="These parts are there for the day on which something else has already failed.",
    source="21 CFR 1040.10(f)(2) (from memory); 29 CFR 1910.334(a)(3) (restated)",
    good="2. Close the lid fully.",
    bad="2. Hold the lid switch down with a finger.",
    find=partial(find_advice, pattern=_PATTERN, message="defeats a safety device"),
)
