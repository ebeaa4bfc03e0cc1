"""C605: reach, route and force for the public."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C605",
    name="reach-limit",
    severity="error",
    summary="What the public uses lies 15 to 48 in high, a route is 36 in wide, and 5 lbf is the most force.",
    reason="A station out of reach shuts people out, and 54 in is a figure of 1991.",
    source="2010 ADA Standards 308.2.1, 308.3.1 and 309.4 (restated); 44 in, 46 in and 403.5.1 from memory",
    good="Reach goes from 15 to 48 in. A higher pad is out of reach.",
    bad="Reach goes up to 54 in. A higher pad is out of reach.",
    find=beyond("C605"),
    place="why",
    needs="limits C605",
)
