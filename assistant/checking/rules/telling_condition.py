"""C511: the condition describes and does not command."""

from __future__ import annotations

from functools import partial

from assistant.checking.rule import Rule
from assistant.checking.said import clip, find_said
from assistant.checking.words import starts_with_command

__all__ = ["RULE"]

RULE = Rule(
    code="C511",
    name="condition-describes",
    severity="warning",
    summary="The condition says what the rep sees, hears or smells, and holds no instruction.",
    reason="Work that stands above the steps has no number, no warning and no choice.",
    source="OASIS DITA 1.3, troubleshooting topic (restated)",
    good="The lamp stays dark. The pad does nothing.",
    bad="Replace the lamp. The pad does nothing.",
    find=partial(
        find_said,
        sections=("condition",),
        wrong=lambda text: starts_with_command(text, strict=True),
        message=lambda text: f"an instruction in the condition: {clip(text)}",
    ),
    place="condition",
)
