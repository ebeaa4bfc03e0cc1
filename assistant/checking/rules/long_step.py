"""C503: a sentence of a step has 20 words at most."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import count_words, find_said

__all__ = ["RULE"]

_MOST = 20

RULE = Rule(
    code="C503",
    name="step-length",
    severity="warning",
    summary="A sentence of a step, or a choice, has 20 words at most.",
    reason="A rep reads a step once and then looks at the hands.",
    source="ASD-STE100 Issue 9 (2025), rules 5.1 and 8.4 to 8.7 (restated)",
    good="2. Look at the lamp on the front of the console.",
    bad="2. Look at the lamp on the front of the console that stands on the left of the shelf below the display of the "
    "station.",
    find=partial(
        find_said,
        sections=("steps", "choices"),
        wrong=lambda text: count_words(text.partition(": ")[0] if text.startswith("If ") else text) > _MOST,
        message=lambda text: f"has {count_words(text)} words, {_MOST} at most",
    ),
)
