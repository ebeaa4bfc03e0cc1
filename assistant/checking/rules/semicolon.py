"""C506: no semicolon."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import EVERYTHING, clip, find_said

__all__ = ["RULE"]

RULE = Rule(
    code="C506",
    name="no-semicolon",
    severity="warning",
    summary="No sentence holds a semicolon.",
    reason="What follows a semicolon is a sentence of its own.",
    source="ASD-STE100 Issue 9 (2025), rule 8.1 (restated)",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark; it is off. It stays so.",
    find=partial(
        find_said,
        sections=EVERYTHING,
        wrong=lambda text: ";" in text,
        message=lambda text: f"holds a semicolon: {clip(text)}",
    ),
    place="why",
)
