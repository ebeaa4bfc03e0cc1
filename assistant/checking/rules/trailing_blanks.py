"""C805: no blanks at the end of a line."""

from __future__ import annotations

from functools import partial

from assistant.checking.lines import mend_lines
from assistant.checking.rule import Rule

__all__ = ["RULE"]


def _mend(line: str) -> str:
    end = "\r" if line.endswith("\r") else ""
    return line.removesuffix("\r").rstrip(" \t") + end


RULE = Rule(
    code="C805",
    name="no-trailing-blanks",
    severity="note",
    summary="No line ends in blanks.",
    reason="Two of them are a line break in Markdown that nobody sees.",
    source="CommonMark 0.31, hard line breaks (from memory)",
    good="The lamp is dark. It is off.",
    bad="The lamp is dark. It is off.  ",
    find=partial(mend_lines, mend=_mend, message="ends in blanks"),
    place="line",
)
