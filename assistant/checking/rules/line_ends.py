"""C806: plain line ends."""

from __future__ import annotations

from functools import partial

from assistant.checking.lines import mend_lines
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C806",
    name="plain-line-ends",
    severity="note",
    summary="Lines end in a line feed alone.",
    reason="A file with both kinds of line end shows up as changed throughout.",
    source="common practice",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark. It is off.\r",
    find=partial(mend_lines, mend=lambda line: line.removesuffix("\r"), message="ends in a carriage return"),
    place="line",
)
