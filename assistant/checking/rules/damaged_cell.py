"""C408: a damaged cell is left alone."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_SICK = r"\b(?:swollen|bulg\w+|dented|leaking|hissing|damaged|hot|smelling|puffed)\b"
_PATTERN = (
    r"\b(?:charge|press|squeeze|pierce|puncture|flatten|open|bend|heat|freeze|post|mail|finish the day with)\b[^.]*"
    rf"{_SICK}[^.]*\b(?:cells?|batter(?:y|ies)|packs?)\b|\bpress (?:it|the \w+) flat\b|\b(?:charge|post) it anyway\b|"
    r"\b(?:puncture|pierce)\b[^.]*\b(?:cell|battery|pack)\b"
)

RULE = Rule(
    code="C408",
    name="no-damaged-cell-use",
    severity="error",
    summary="A damaged or swollen cell is never charged, pressed, pierced, opened or posted.",
    reason="A hurt cell can burn at any moment, and pressure or charge brings that moment on.",
    source="NFPA safety tips on lithium-ion cells (restated); 49 CFR 173.185(f) (restated); pressing from memory",
    good="2. Leave the swollen cell where it is.",
    bad="2. Press the swollen cell flat.",
    find=partial(find_advice, pattern=_PATTERN, message="handles a damaged cell as if it were sound"),
)
