"""What a benchmark yields: figures with all their runs, what was left out and why, and how a cost grows."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["Figure", "Fit", "Skipped", "exponent", "fits", "median", "p95", "ratios"]


class Figure(NamedTuple):
    """One way to do one thing.

    ``subset`` and ``case`` name the thing, ``size`` its size (0 where it has none), ``way`` who did it; ``values`` are
    all runs, in ``unit``. ``peer`` is the way of the same thing that it is held against.
    """

    subset: str
    case: str
    way: str
    unit: str
    values: tuple[float, ...]
    peer: str
    size: int = 0
    base: float = 0.0
    """What the same process costs before its work begins, taken off before its growth is fitted."""

    @property
    def thing(self) -> tuple[str, str, str, int]:
        """What figures that are held against one another have in common."""
        return self.subset, self.case, self.unit, self.size


class Skipped(NamedTuple):
    """What was not measured, and why."""

    subset: str
    what: str
    why: str


class Fit(NamedTuple):
    """How a cost grows: about as the size to the power of ``exponent``, between the last two sizes of ``last``."""

    subset: str
    case: str
    way: str
    unit: str
    sizes: tuple[int, ...]
    exponent: float
    last: float


def median(values: Sequence[float]) -> float:
    """Return the middle value; of an even number the mean of the two in the middle."""
    return statistics.median(values)


def p95(values: Sequence[float]) -> float:
    """Return the 95th percentile, between neighbours in proportion; of one value itself."""
    return statistics.quantiles(values, n=20, method="inclusive")[-1] if len(values) > 1 else values[0]


def ratios(figures: Sequence[Figure]) -> list[float | None]:
    """Return for each figure its median over its peer's, None where the peer was not measured."""
    medians = {(figure.thing, figure.way): median(figure.values) for figure in figures}
    peers = [medians.get((figure.thing, figure.peer)) for figure in figures]
    return [median(figure.values) / peer if peer else None for figure, peer in zip(figures, peers, strict=True)]


def exponent(sizes: Sequence[float], costs: Sequence[float]) -> float:
    """Return the power of the size with which the cost grows: the slope of a least-squares line through the logarithms.

    Parameters
    ----------
    sizes, costs
        Above 0, equally many, two or more different sizes.

    Raises
    ------
    ValueError
        Where a line through them is not defined.
    """
    return statistics.linear_regression([math.log(size) for size in sizes], [math.log(cost) for cost in costs]).slope


def fits(figures: Iterable[Figure]) -> list[Fit]:
    """Return how each cost grows that was measured at two sizes or more, and above its base at each of them."""
    series: dict[tuple[str, str, str, str], dict[int, float]] = {}
    for figure in figures:
        if figure.size:
            key = (figure.subset, figure.case, figure.way, figure.unit)
            series.setdefault(key, {})[figure.size] = median(figure.values) - figure.base
    found = []
    for key, costs in series.items():
        sizes = sorted(costs)
        if len(sizes) > 1 and min(costs.values()) > 0:
            values = [costs[size] for size in sizes]
            found.append(Fit(*key, tuple(sizes), exponent(sizes, values), exponent(sizes[-2:], values[-2:])))
    return found
