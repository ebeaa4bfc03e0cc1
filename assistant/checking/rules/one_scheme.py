"""C305: one scheme of signal words."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import clip, find_said, has

__all__ = ["RULE"]


RULE = Rule(
    code="C305",
    name="one-signal-scheme",
    severity="warning",
    summary="No step calls itself important, a warning or a note: hazards stand in a safety message.",
    reason="Two ways to say that something is dangerous make both of them doubtful.",
    source="ANSI Z535.6-2011 (restated)",
    good="2. Look at the lamp.",
    bad="2. Important: look at the lamp.",
    find=partial(
        find_said,
        sections=("before", "steps", "fails"),
        wrong=lambda text: has(text, r"^(?:danger|warning|caution|attention|important|note)\b[:!]"),
        message=lambda text: f"a signal word outside a safety message: {clip(text)}",
    ),
)
