"""C801: no control or format characters."""

from __future__ import annotations

import unicodedata
from functools import partial

from assistant.checking.lines import find_lines
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_ALLOWED = frozenset("\t\u200d")
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})


def _fault(line: str) -> str:
    if line.isprintable():
        return ""
    hidden = {c for c in line if c not in _ALLOWED and unicodedata.category(c) in _HIDDEN}
    return f"holds {', '.join(f'U+{ord(c):04X}' for c in sorted(hidden))}, which no reader sees" if hidden else ""


RULE = Rule(
    code="C801",
    name="no-hidden-characters",
    severity="error",
    summary="No line holds a control, format, private or unassigned character, such as a change of direction.",
    reason="Terminals act on them, and they turn round or hide what is written.",
    source="Unicode TR36, security of bidirectional text (from memory)",
    good="The lamp is dark. It is off.",
    bad="The lamp is \u202edark. It is off.",
    find=partial(find_lines, fault=_fault),
    place="line",
)
