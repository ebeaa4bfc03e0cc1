"""C604: sizes of a disc and of its beam."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, has, outside_limits

__all__ = ["RULE"]

_BEAMS = ((775, 795), (630, 655), (400, 410))


def _wrong(text: str) -> bool:
    if has(text, r"\bdisc\b") and any(size not in {120, 15, 1.2, 0.6, 0.1} for size in figures(text, "mm")):
        return True
    return any(not any(low <= wave <= high for low, high in _BEAMS) for wave in figures(text, "nm"))


RULE = Rule(
    code="C604",
    name="disc-figures",
    severity="error",
    summary="A disc is 120 mm wide and 1.2 mm thick with a 15 mm hole; beams lie near 780, 650 and 405 nm.",
    reason="A wrong size sends a rep after a wrong part.",
    source="ECMA-130 (1996) and ECMA-267 (2001) (dimensions from memory, wavelengths restated); 405 nm from memory",
    good="A disc is 120 mm wide. Other sizes do not fit.",
    bad="A disc is 130 mm wide. Other sizes do not fit.",
    find=outside_limits(_wrong),
    place="why",
)
