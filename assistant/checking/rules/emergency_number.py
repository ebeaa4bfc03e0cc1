"""C513: no emergency number of one country."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import EVERYTHING, clip, find_said, has

__all__ = ["RULE"]

_NUMBER = r"\b(?:call|dial|ring) (?:\d{3}|nine)\b|\b(?:911|999|112)\b"

RULE = Rule(
    code="C513",
    name="local-emergency-number",
    severity="error",
    summary="A note says 'the local emergency number' and spells none out.",
    reason="Emergency numbers differ from country to country, and a wrong one costs minutes.",
    source="common practice",
    good="2. Call the local emergency number first.",
    bad="2. Call 999 first.",
    find=partial(
        find_said,
        sections=EVERYTHING,
        wrong=lambda text: has(text, _NUMBER),
        message=lambda text: f"spells an emergency number out: {clip(text)}",
    ),
)
