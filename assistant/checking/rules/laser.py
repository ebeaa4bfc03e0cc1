"""C410: nobody looks into a drive."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import find_worded
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C410",
    name="no-look-into-laser",
    severity="error",
    summary="Nobody looks into an open drive or at its lens, and no laser is called harmless.",
    reason="The beam of a drive can be invisible, and the eye does not shut in time.",
    source="IEC 60825-1:2014 (restated); 21 CFR 1040.10(f)(1) (restated)",
    good="2. Listen to the drive with the lid closed.",
    bad="2. Look into the drive for a glow.",
    find=partial(find_worded, code="C410"),
    needs="advice C410",
)
