"""C508: no word stands twice in a row."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import EVERYTHING, clip, find_said, has

__all__ = ["RULE"]

RULE = Rule(
    code="C508",
    name="no-doubled-word",
    severity="warning",
    summary="No word stands twice in a row.",
    reason="It is a slip of the pen, and readers stumble over it.",
    source="common practice",
    good="It is dark. It stays so.",
    bad="It is is dark. It stays so.",
    find=partial(
        find_said,
        sections=EVERYTHING,
        wrong=lambda text: has(text, r"\b(\w+) \1\b(?! \1)"),
        message=lambda text: f"a word stands twice: {clip(text)}",
    ),
    place="why",
)
