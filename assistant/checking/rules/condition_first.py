"""C505: the condition of a step comes first and ends in a comma."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import clip, find_said, has
from assistant.checking.words import COMMANDS

__all__ = ["RULE"]

_LATE = rf"^(?:{'|'.join(sorted(COMMANDS))})\b[^,]*\b(?:in case|provided|should) (?:it|the|that|you)\b"
_NO_COMMA = r"^if\b[^,]*$"

RULE = Rule(
    code="C505",
    name="condition-first",
    severity="warning",
    summary="A condition stands before its command and ends in a comma.",
    reason="Who reads the command first has done it before the condition is read.",
    source="ASD-STE100 Issue 9 (2025), rule 5.4 (restated)",
    good="2. If the lamp is dark, replace it.",
    bad="2. Replace the lamp in case it is dark.",
    find=partial(
        find_said,
        sections=("steps",),
        wrong=lambda text: has(text, _LATE) or has(text, _NO_COMMA),
        message=lambda text: f"the condition comes first, with a comma: {clip(text)}",
    ),
)
