"""C412: no outlet strip hangs on another."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:plug|connect|feed|hang|link|chain)\b[^.]*\b(?:strips?|extension)\b[^.]*\b(?:into|to|from)\b[^.]*"
    r"\b(?:another|second|other|next)\b[^.]*\bstrip\b|\bdaisy.chain"
)

RULE = Rule(
    code="C412",
    name="no-strip-into-strip",
    severity="error",
    summary="An outlet strip or extension is plugged into a wall outlet, never into another strip.",
    reason="Strips in a row carry more than the first lead is made for.",
    source="29 CFR 1910.303(b)(2) (from memory)",
    good="2. Plug the strip into the wall outlet.",
    bad="2. Plug the strip into the second strip.",
    find=partial(find_advice, pattern=_PATTERN, message="hangs one strip on another"),
)
