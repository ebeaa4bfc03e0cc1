"""C413: no lead is pulled on, stapled or led through a gap."""

from __future__ import annotations

from functools import partial

from assistant.checking.advice import DOING, find_worded
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C413",
    name="no-strain-on-leads",
    severity="error",
    summary="Nothing is pulled or carried by its lead; no lead is stapled, hidden under a mat or led through a door.",
    reason="A pull or a pinch breaks the wires inside before the jacket shows it.",
    source="29 CFR 1910.334(a)(1) and 1910.305(g)(1)(iv) (restated)",
    good="2. Pull the plug by its body.\n3. Plug the station in.",
    bad="2. Lift the console by the lead.",
    find=partial(find_worded, code="C413", sections=DOING),
    needs="advice C413",
)
