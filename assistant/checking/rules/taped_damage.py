"""C402: no damage is taped over."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:tape|wrap|patch|glue)(?: up| over| down)? (?:the|a|any|each|both|its)\b[^.]*\b(?:leads?|cables?|cords?|"
    r"wires?|cuts?|cracks?|cracked|splits?|holes?|gaps?|torn|frayed|damage[ds]?|broken|loose|cover|compartment|shell|"
    r"pad|cushion)\b|\b(?:put|stick|wind|lay) (?:some |a piece of |a strip of )?tape (?:over|across|round|on)\b"
)

RULE = Rule(
    code="C402",
    name="no-tape-over-damage",
    severity="error",
    summary="Damage to a lead, shell, cover or cushion is neither taped nor glued over.",
    reason="Tape hides the damage from the next look and lets go in a warm cabinet.",
    source="29 CFR 1910.334(a)(2)(ii) (restated); 16 CFR 1263 for cell covers (restated)",
    good="2. Withdraw the handheld from service.",
    bad="2. Tape over the crack in the shell.",
    find=partial(find_advice, pattern=_PATTERN, message="covers damage instead of removing it", sections=DOING),
)
