"""C413: no lead is pulled on, stapled or led through a gap."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_advice
from assistant.checking.rule import Rule

__all__ = ["RULE"]

_LEADS = r"(?:leads?|cables?|cords?)"
_PATTERN = (
    r"\b(?:pull|lift|carry|lower|hang|yank|tug|grip|hold)\w*\b[^.]*\b(?:by|on) (?:the|its|each) (?:lead|cable|cord)\b|"
    rf"\b(?:staple|nail|pin|tack|screw)\b (?:the|each|a|all|down)\b[^.]*\b{_LEADS}\b|"
    rf"\b(?:run|route|lay|pass|pull|feed|hide|put|lead)\b[^.]*\b{_LEADS}\b[^.]*\b(?:through (?:a|the) "
    r"(?:door|doorway|window|wall|ceiling|hinge)|under (?:a|the) (?:rug|mat|carpet|door)|"
    r"across the (?:aisle|walkway))\b"
)

RULE = Rule(
    code="C413",
    name="no-strain-on-leads",
    severity="error",
    summary="Nothing is pulled or carried by its lead; no lead is stapled, hidden under a mat or led through a door.",
    reason="A pull or a pinch breaks the wires inside before the jacket shows it.",
    source="29 CFR 1910.334(a)(1) and 1910.305(g)(1)(iv) (restated)",
    good="2. Pull the plug by its body.\n3. Plug the station in.",
    bad="2. Lift the console by the lead.",
    find=partial(find_advice, pattern=_PATTERN, message="strains a lead", sections=DOING),
)
