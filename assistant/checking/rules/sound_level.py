"""C603: sound levels."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C603",
    name="sound-limit",
    severity="error",
    summary="The level at the ear is 85 dBA, 100 dBA the cap, 80 dBA for 40 hours, and flashes three in one second.",
    reason="A demo that is too loud hurts ears for good, and one that flashes can bring on a fit.",
    source="IEC 62368-1, clause 10.6, and EN 50332 (restated); WCAG 2.2, criterion 2.3.1",
    good="The basic level is 85 dBA. Above it a warning is due.",
    bad="The basic level is 95 dBA. Above it a warning is due.",
    find=beyond("C603"),
    place="why",
    needs="limits C603",
)
