"""How many spares to carry and when to order, for slow parts by Poisson, for others by the normal rule."""

from __future__ import annotations

import math
from statistics import NormalDist
from typing import Literal, NamedTuple

__all__ = [
    "SLOW_MEAN",
    "Stock",
    "least_stock",
    "normal_quantile",
    "poisson_cdf",
    "reorder_point",
    "safety_stock",
    "stock_for",
]

_NEGLIGIBLE = 1e-17

SLOW_MEAN = 10.0
"""Mean demand in one lead time below which a part is slow."""


class Stock(NamedTuple):
    """How many to have when an order is placed, and by which rule."""

    quantity: int
    method: Literal["Poisson", "normal"]


def poisson_cdf(k: int, mean: float) -> float:
    """Return the probability of ``k`` or fewer events where ``mean`` are expected.

    Raises
    ------
    ValueError
        If the mean is below 0 or without end.

    Source
    ------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.6.19 (from memory).
    """
    if not 0 <= mean < math.inf:
        raise ValueError("the mean must be a number, 0 or more")
    if k < 0:
        return 0.0
    if mean == 0:
        return 1.0
    if k < mean:
        return math.fsum(_poisson(i, mean) for i in range(k + 1))
    return 1 - _poisson_above(k, mean)


def least_stock(mean: float, level: float) -> int:
    """Return the smallest stock that meets the demand with at least the probability ``level``.

    Raises
    ------
    ValueError
        If the level is not between 0 and 1, or the mean is below 0 or without end.

    Source
    ------
    The Poisson rule for slow spares (common practice).
    """
    _examine_level(level)
    k = 0
    while poisson_cdf(k, mean) < level:
        k += 1
    return k


def normal_quantile(level: float) -> float:
    """Return z with the probability ``level`` below it (`statistics.NormalDist`)."""
    _examine_level(level)
    return NormalDist().inv_cdf(level)


def safety_stock(
    demand_sd: float,
    lead_time: float,
    level: float,
    *,
    demand: float = 0.0,
    lead_time_sd: float = 0.0,
    z: float | None = None,
) -> float:
    """Return z sqrt(L s^2 + d^2 s_L^2).

    Parameters
    ----------
    demand_sd, demand
        Standard deviation and mean of the demand of one unit of time.
    lead_time, lead_time_sd
        Mean and standard deviation of the lead time, in the same unit.
    level
        Probability that the stock meets the demand of a lead time.
    z
        Quantile to take in place of the exact one, as printed in a table.

    Source
    ------
    Silver, Pyke and Thomas, Inventory and Production Management in Supply Chains, 4th edition (from memory).
    """
    if not all(0 <= value < math.inf for value in (demand_sd, lead_time, demand, lead_time_sd)):
        raise ValueError("demand, lead time and their deviations must be 0 or more")
    quantile = normal_quantile(level) if z is None else z
    return quantile * math.sqrt(lead_time * demand_sd**2 + demand**2 * lead_time_sd**2)


def reorder_point(
    demand: float,
    lead_time: float,
    demand_sd: float,
    level: float,
    *,
    lead_time_sd: float = 0.0,
    z: float | None = None,
) -> float:
    """Return the stock at which to order: the demand of a lead time and the safety stock (see `safety_stock`)."""
    buffer = safety_stock(demand_sd, lead_time, level, demand=demand, lead_time_sd=lead_time_sd, z=z)
    return demand * lead_time + buffer


def stock_for(demand: float, lead_time: float, demand_sd: float, level: float) -> Stock:
    """Return the stock by the rule that fits: Poisson below `SLOW_MEAN` in a lead time, else the reorder point."""
    mean = demand * lead_time
    if mean < SLOW_MEAN:
        return Stock(least_stock(mean, level), "Poisson")
    return Stock(math.ceil(reorder_point(demand, lead_time, demand_sd, level)), "normal")


def _poisson(i: int, mean: float) -> float:
    return math.exp(i * math.log(mean) - mean - math.lgamma(i + 1))


def _poisson_above(k: int, mean: float) -> float:
    """Return the probability of more than ``k`` events, ``k`` at least the mean, where terms fall from the first."""
    term, total = _poisson(k + 1, mean), 0.0
    while term > total * _NEGLIGIBLE:
        total += term
        k += 1
        term *= mean / (k + 1)
    return total


def _examine_level(level: float) -> None:
    if not 0 < level < 1:
        raise ValueError("the level must be between 0 and 1")
