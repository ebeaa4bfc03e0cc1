"""C507: no vague words in steps."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import clip, find_said, has

__all__ = ["RULE"]

_VAGUE = r"\b(?:as appropriate|if necessary|as needed|etc\.?|and so on|properly|adequately|some time)\b"

RULE = Rule(
    code="C507",
    name="no-vague-words",
    severity="warning",
    summary="A step says what, how far and when, and not 'as needed' or 'properly'.",
    reason="Two reps who read a vague step do two different things.",
    source="IEC/IEEE 82079-1:2019, no vague terms (from memory)",
    good="2. Clean the shell until no mark is seen.",
    bad="2. Clean the shell as appropriate.",
    find=partial(
        find_said,
        sections=("steps",),
        wrong=lambda text: has(text, _VAGUE),
        message=lambda text: f"is vague: {clip(text)}",
    ),
)
