"""C606: temperatures at which things are kept and charged."""

from __future__ import annotations

from assistant.checking.limits import beyond
from assistant.checking.rule import Rule

__all__ = ["RULE"]

RULE = Rule(
    code="C606",
    name="storage-temperature",
    severity="error",
    summary="Discs are kept from -10 to 32 C, cells are charged from 0 to 45 C, best from 10 to 30 C.",
    reason="Heat warps a disc, and a cell that is charged in frost is hurt inside.",
    source="ISO 18925 (restated); trade reference on lithium-ion charging (restated)",
    good="Keep discs below 32 C. A warm van is too hot.",
    bad="Keep discs below 60 C. A warm van is too hot.",
    find=beyond("C606"),
    place="why",
    needs="limits C606",
)
