"""C804: spaces instead of tabs."""

from __future__ import annotations

from functools import partial

from assistant.checking.lines import mend_lines
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C804",
    name="no-tabs",
    severity="note",
    summary="Lines hold no tabs.",
    reason="A tab is as wide as each program likes, and shifts a choice to another step.",
    source="common practice",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark.\tIt is off.",
    find=partial(mend_lines, mend=lambda line: line.expandtabs(4), message="holds a tab"),
    place="line",
)
