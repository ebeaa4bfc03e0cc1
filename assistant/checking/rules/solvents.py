"""C404: no solvent, polish or paste."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_PATTERN = (
    r"\b(?:acetone|benzene|thinner|white spirit|petrol|nail polish remover|toothpaste|polish(?:ing)? (?:paste|cream|"
    r"compound)|scouring \w+|sandpaper|steel wool|baking soda|peanut butter|car wax|polish (?:the|it|out))\b|"
    r"\b(?:wipe|clean|dampen|rub)\b[^.]*\b(?:lens(?:es)?|panel of the display|display|screen|acrylic)\b[^.]*"
    r"\b(?:alcohol|window cleaner|glass cleaner|detergent|solvent|disinfect\w*)\b"
)

RULE = Rule(
    code="C404",
    name="no-solvent-or-polish",
    severity="error",
    summary="Nothing is cleaned with a solvent, a polish, a paste or a scourer, and no coated panel with a cleaner.",
    reason="Solvents dissolve the plastic of discs and lenses, and polish takes their surface away.",
    source="NIST SP 500-252 (2003), sections 5.1.4 and 6 (restated); lenses and panels from memory",
    good="2. Wipe the panel with a dry cloth.",
    bad="2. Rub toothpaste on the scratch.",
    find=partial(
        find_advice, pattern=_PATTERN, message="uses a solvent, a polish or a cleaner that harms", sections=DOING
    ),
)
