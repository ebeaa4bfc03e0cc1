"""C407: nothing is sprayed on electronics."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_DEVICE = r"(?:display|console|pad|headset|handheld|panel|cabinet|keys?|buttons?|lens(?:es)?)"
_PATTERN = (
    rf"\bspray (?:it |the \w+ |a \w+ |some \w+ |\w*cleaner )?(?:on|onto|into|at|over)\b|\bspray the {_DEVICE}\b|"
    r"\b(?:use|apply) (?:a |the )?(?:\w+ )?spray\b|"
    r"\b(?:dripping|soaking|sopping|soaked|wet through)\b[^.]*\b(?:wipe|cloth|sponge)\b|"
    r"\bpour\b[^.]*\b(?:on|over|into)\b[^.]*\b(?:pad|display|console|station|cabinet)\b"
)

RULE = Rule(
    code="C407",
    name="no-spray",
    severity="error",
    summary="No liquid is sprayed or poured on a device, and no wet cloth drips.",
    reason="Liquid runs through vents and seams to parts that are live.",
    source="CDC guidance for electronics (2020) (restated); IEC 60529 (from memory)",
    good="2. Wipe the display with a damp cloth.",
    bad="2. Spray the cleaner on the display.",
    find=partial(find_advice, pattern=_PATTERN, message="brings loose liquid onto a device", sections=DOING),
)
