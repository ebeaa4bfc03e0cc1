"""C409: nobody stands on furniture or on the top step."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:stand|climb|step|get)\b (?:up )?on(?:to)?\b[^.]*\b(?:chair|stool|crate|box|shelf|seat|cabinet)\b|"
    r"\buse (?:a|the) (?:chair|stool|crate)\b|"
    r"\b(?:stand|climb|step|work)\b[^.]*\b(?:on|from|to) the (?:top step|top of the ladder|cap)\b|"
    r"\blean (?:the|a) (?:step )?ladder\b"
)

RULE = Rule(
    code="C409",
    name="no-chair-or-top-step",
    severity="error",
    summary="Nobody stands on a chair, a box, a shelf or the top step of a ladder.",
    reason="Most falls in shops are from small heights and from things that were never made to stand on.",
    source="29 CFR 1910.23(c)(8) (restated); common practice",
    good="2. Stand on the second step of the step ladder.",
    bad="2. Stand on a chair.",
    find=partial(find_advice, pattern=_PATTERN, message="climbs on what is not made for it"),
)
