"""C802: no emoji."""

from __future__ import annotations

import re
from functools import partial

from assistant.checking.lines import find_lines
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_EMOJI = re.compile("[\u200d\u2600-\u27bf\u2b00-\u2bff\ufe00-\ufe0f\U0001f000-\U0001faff\U000e0100-\U000e01ef]")


def _fault(line: str) -> str:
    shown = "" if line.isascii() else ", ".join(f"U+{ord(c):04X}" for c in sorted(set(_EMOJI.findall(line))))
    return f"holds an emoji or a part of one: {shown}" if shown else ""


RULE = Rule(
    code="C802",
    name="no-emoji",
    severity="error",
    summary="No line holds an emoji, a variation selector (U+FE0F) or a joiner (U+200D).",
    reason="Terminals disagree on how wide they are, and the lines beside them are garbled.",
    source="Unicode UAX 11, East Asian width (from memory); the corpus's own style",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark \u26a0\ufe0f. It is off.",
    find=partial(find_lines, fault=_fault),
    place="line",
)
