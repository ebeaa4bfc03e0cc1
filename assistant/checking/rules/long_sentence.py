"""C504: a sentence outside the steps has 25 words at most."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import count_words, find_said

__all__ = ["RULE"]

_MOST = 25

RULE = Rule(
    code="C504",
    name="sentence-length",
    severity="warning",
    summary="A sentence outside the steps has 25 words at most.",
    reason="Long sentences are not read in a loud shop.",
    source="ASD-STE100 Issue 9 (2025), rules 5.5 and 6.3 (restated)",
    good="A lead breaks inside. Nobody sees it.",
    bad="A lead breaks inside where nobody sees it, and the demo goes on for a day or two until the last of the wires "
    "has parted as well. Nobody sees it.",
    find=partial(
        find_said,
        sections=("condition", "cause", "before", "safety", "result", "fails", "why"),
        wrong=lambda text: count_words(text) > _MOST,
        message=lambda text: f"has {count_words(text)} words, {_MOST} at most",
    ),
    place="why",
)
