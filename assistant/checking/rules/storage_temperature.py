"""C606: temperatures for discs and cells."""

from __future__ import annotations

from assistant.checking.rule import Rule
from assistant.checking.said import figures, has, outside_limits

__all__ = ["RULE"]

_CELSIUS = "C|degrees Celsius"


def _wrong(text: str) -> bool:
    if has(text, r"\bdiscs?\b") and any(not -10 <= heat <= 32 for heat in figures(text, _CELSIUS)):
        return True
    return has(text, r"\bcharg\w+\b") and any(heat not in {0, 45, 10, 30} for heat in figures(text, _CELSIUS))


RULE = Rule(
    code="C606",
    name="storage-temperature",
    severity="error",
    summary="Discs are kept from -10 to 32 C, cells are charged from 0 to 45 C, best from 10 to 30 C.",
    reason="Heat warps a disc, and a cell that is charged in frost is hurt inside.",
    source="ISO 18925 (restated); trade reference on lithium-ion charging (restated)",
    good="Keep discs below 32 C. A warm van is too hot.",
    bad="Keep discs below 60 C. A warm van is too hot.",
    find=outside_limits(_wrong),
    place="why",
)
