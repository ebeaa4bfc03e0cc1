"""C406: no paper touches a disc, a lens or a panel."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:wip(?:e|ing)|rub|clean(?:ing)?|dry|dab|take|use|polish)\b[^.]*\b(?:paper(?! clip| label)|tissues?|"
    r"kitchen roll|napkins?|lens paper)\b"
)

RULE = Rule(
    code="C406",
    name="no-paper",
    severity="error",
    summary="Nothing is wiped or dried with paper, a tissue or a napkin.",
    reason="Paper has hard fibres that scratch, even the kind sold for lenses.",
    source="NIST SP 500-252 (2003), section 6 (restated)",
    good="2. Dry the disc with a lint-free cloth.",
    bad="2. Dry the disc with a paper towel.",
    find=partial(find_advice, pattern=_PATTERN, message="wipes with paper"),
)
