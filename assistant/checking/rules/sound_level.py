"""C603: sound levels."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, has, outside_limits

__all__ = ["RULE"]

_NOT_THREE = r"\b(?:\d+|one|two|four|five|six|seven|eight|nine|ten) flashes\b"


def _wrong(text: str) -> bool:
    levels = figures(text, "dBA|dB")
    if any(level not in {80, 85, 100} for level in levels) or (80 in levels and not has(text, r"\b40 hours\b")):
        return True
    if has(text, r"\bthree flashes\b") and not has(text, r"\b(?:one|per|a) second\b"):
        return True
    return has(text, _NOT_THREE)


RULE = Rule(
    code="C603",
    name="sound-limit",
    severity="error",
    summary="The level at the ear is 85 dBA, 100 dBA the cap, 80 dBA for 40 hours, and flashes three in one second.",
    reason="A demo that is too loud hurts ears for good, and one that flashes can bring on a fit.",
    source="IEC 62368-1, clause 10.6, and EN 50332 (restated); WCAG 2.2, criterion 2.3.1",
    good="The basic level is 85 dBA. Above it a warning is due.",
    bad="The basic level is 95 dBA. Above it a warning is due.",
    find=outside_limits(_wrong),
    place="why",
)
