"""In which order to go to the shops of a day, when some are due before others and every way costs minutes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from functools import cache

from assistant.errors import UsageError

__all__ = ["MOST_SHOPS", "best_route", "route_minutes"]

MOST_SHOPS = 10
_PARTS = 1000
"""Minutes count to the thousandth, as whole numbers, so that a tie is a tie on every machine."""


def best_route(
    shops: Sequence[str],
    minutes: Mapping[tuple[str, str], float],
    start: str = "",
    ranks: Mapping[str, int] | None = None,
) -> tuple[str, ...]:
    """Return the order with the least minutes on the way in which a shop with an earlier rank comes first.

    Of two orders with the same minutes the one whose names come first is taken.

    Parameters
    ----------
    shops
        At most `MOST_SHOPS`; one that is named twice counts once.
    minutes
        By (from, to); a pair that no such order passes may be missing.
    start
        Where the day begins; at the first shop, whichever that is, where empty.
    ranks
        Such as the day on which a shop is due; shops without one come last.

    Raises
    ------
    UsageError
        If there are more shops, or minutes that are needed are missing.

    Source
    ------
    Held and Karp, A dynamic programming approach to sequencing problems, Journal of the Society for Industrial and
    Applied Mathematics 10 (1962) 196-210 (from memory).
    """
    names = sorted(set(shops))
    if len(names) > MOST_SHOPS:
        raise UsageError(f"{len(names)} shops are too many to find the shortest way: name {MOST_SHOPS} or fewer")
    rank = {name: (ranks or {}).get(name, math.inf) for name in names}

    @cache
    def ahead(here: str, left: frozenset[str]) -> tuple[int, tuple[str, ...]]:
        """Return the least way from here through all shops that are left, and their order."""
        if not left:
            return 0, ()
        first = min(rank[name] for name in left)
        ways = []
        for name in left:
            if rank[name] == first:
                cost, order = ahead(name, left - {name})
                ways.append((_leg(minutes, here, name) + cost, (name, *order)))
        return min(ways)

    return ahead(start, frozenset(names))[1]


def route_minutes(order: Sequence[str], minutes: Mapping[tuple[str, str], float], start: str = "") -> list[float]:
    """Return the minutes on the way to each shop of an order; 0 to the first where the day begins there.

    Raises
    ------
    UsageError
        If minutes are missing.
    """
    return [_leg(minutes, here, name) / _PARTS for here, name in zip((start, *order), order, strict=False)]


def _leg(minutes: Mapping[tuple[str, str], float], here: str, name: str) -> int:
    if here in ("", name):
        return 0
    if (here, name) not in minutes:
        raise UsageError(f"no minutes are known from {here} to {name}: add the line {here},{name},MINUTES")
    return round(minutes[here, name] * _PARTS)
