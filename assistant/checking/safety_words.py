"""Words by which a safety message tells harm to people from harm to things."""

from __future__ import annotations

__all__ = ["GRAVE", "PEOPLE"]

PEOPLE = (
    r"\b(?:kills?|killed|die|death|fatal|injur\w*|hurts?|seizures?|a fit|shock\w*|burns? (?:people|you|skin|fingers|"
    r"those)|skin|eyes?|fingers?|thumb|face|people|person|child|children|hands?|foot|head|bones?|bruis\w*|choke)\b"
)
"""Words of harm to people."""
GRAVE = (
    r"\b(?:kill|killed|die|death|fatal|seizure|a fit|fire|fires|flame|burns?|burn|shock|shocked|crush|crushed|break|"
    r"badly|eyes?|blind|severe|grave|choke|bones?|hurt|injure|swallow|laser|eyesight)\b"
)
"""Words of grave harm."""
