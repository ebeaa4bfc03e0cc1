"""Who published what a note rests on, and whose country's rule it is."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from assistant.model import Trade

__all__ = ["countries_missing", "publishers_in"]

_INTERNATIONAL = "international"


def publishers_in(text: str, trade: Trade) -> tuple[str, ...]:
    """Return the publishers of the trade that a text names, in the order of the trade."""
    return tuple(name for name in trade.publishers if _holds(text, name))


def countries_missing(text: str, whole: str, trade: Trade) -> Iterator[str]:
    """Yield the country of every publisher that ``text`` names and that ``whole`` does not, by any of its names."""
    for name in publishers_in(text, trade):
        country = trade.publishers[name]
        known_as = (country, *trade.countries.get(country, ()))
        if country != _INTERNATIONAL and not any(_holds(whole, other) for other in known_as):
            yield country


def _holds(text: str, name: str) -> bool:
    return bool(_pattern(name).search(text))


@lru_cache(maxsize=256)
def _pattern(name: str) -> re.Pattern[str]:
    return re.compile(rf"(?<![A-Za-z]){re.escape(name)}(?![a-z])")
