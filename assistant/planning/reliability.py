"""Availability in its kinds.

Source: NASA Systems Engineering Handbook, NASA/SP-2007-6105 (restated in a secondary source).
"""

from __future__ import annotations

import math

__all__ = ["availability", "inherent_availability", "operational_availability", "series"]


def availability(up: float, down: float) -> float:
    """Return up / (up + down); times in one unit.

    Raises
    ------
    ValueError
        If a time is below 0, or both are 0.
    """
    if up < 0 or down < 0 or up + down == 0:
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
    """Return the availability of a whole that is up only while every part is up."""
    return math.prod(availabilities)
