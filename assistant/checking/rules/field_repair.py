"""C401: no lead is spliced or shortened."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_LEAD = r"(?:leads?|cables?|cords?|wires?|tether|plug|sheath|jacket|extension)"
_PATTERN = (
    rf"\b(?:splice|solder|shorten|mend|repair|twist|join) (?:up )?(?:the|a|any|each|both|its)\b[^.]*\b{_LEAD}\b|"
    r"\b(?:cut|strip) (?:the|a|off) (?:\w+ )?(?:leads?|cables?|cords?|wires?)\b"
)

RULE = Rule(
    code="C401",
    name="no-lead-repair",
    severity="error",
    summary="No lead is spliced, soldered, shortened or cut: it is exchanged whole.",
    reason="A joint made in the field heats, parts and bares its wires where the public pulls at it.",
    source="29 CFR 1910.305(g)(2)(ii) (restated)",
    good="2. Exchange the lead whole.",
    bad="2. Splice the lead at the cut.",
    find=partial(find_advice, pattern=_PATTERN, message="mends a lead in the field"),
)
