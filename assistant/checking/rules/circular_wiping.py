"""C405: no disc is wiped in circles."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:wip|rub|clean|polish|strok|buff)\w*\b[^.]*\b(?:in (?:\w+ )?circles|circular\w*|round and round|in a spiral|"
    r"around the disc|round the disc|along the track)|\bbuff the\b"
)

RULE = Rule(
    code="C405",
    name="no-circular-wiping",
    severity="error",
    summary="A disc or lens is wiped straight, from the centre to the edge.",
    reason="A scratch along the spiral wipes out a long stretch of data that the drive cannot correct.",
    source="NIST SP 500-252 (2003), quick reference and section 6 (restated)",
    good="2. Wipe the disc straight from the centre to the edge.",
    bad="2. Wipe the disc in small circles.",
    find=partial(find_advice, pattern=_PATTERN, message="wipes along the track"),
)
