"""C604: figures of what the trade plays."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C604",
    name="disc-figures",
    severity="error",
    summary="A disc is 120 mm wide and 1.2 mm thick with a 15 mm hole; beams lie near 780, 650 and 405 nm.",
    reason="A wrong size sends a rep after a wrong part.",
    source="ECMA-130 (1996) and ECMA-267 (2001) (dimensions from memory, wavelengths restated); 405 nm from memory",
    good="A disc is 120 mm wide. Other sizes do not fit.",
    bad="A disc is 130 mm wide. Other sizes do not fit.",
    find=beyond("C604"),
    place="why",
    needs="limits C604",
)
