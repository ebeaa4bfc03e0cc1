"""Availability in its kinds.

Source: NASA Systems Engineering Handbook, NASA/SP-2007-6105 (restated in a secondary source); `series` is the product
rule for independent parts (from memory).
"""

from __future__ import annotations

import math

__all__ = ["availability", "inherent_availability", "operational_availability", "series"]


def availability(up: float, down: float) -> float:
    """Return up / (up + down); times in one unit.

    Raises
    ------
    ValueError
        If a time is below 0 or without end, or both are 0.
    """
    if not (0 <= up < math.inf and 0 <= down < math.inf) or up + down == 0:
        raise ValueError("times must be 0 or more, and not both 0")
    return up / (up + down)


def inherent_availability(mtbf: float, mttr: float) -> float:
    """Return the availability from mean time between failures and mean time to repair alone."""
    return availability(mtbf, mttr)


def operational_availability(mttma: float, mmt: float, mldt: float) -> float:
    """Return the availability with waiting for parts and people.

    Parameters
    ----------
    mttma, mmt, mldt
        Mean times to a maintenance action, of maintenance, and of waiting for parts and people, in one unit.
    """
    return availability(mttma, mmt + mldt)


def series(*availabilities: float) -> float:
    """Return the availability of a whole that is up only while every part is up, parts failing independently.

    Raises
    ------
    ValueError
        If an availability is not between 0 and 1.
    """
    if not all(0 <= part <= 1 for part in availabilities):
        raise ValueError("an availability is between 0 and 1")
    return math.prod(availabilities)
