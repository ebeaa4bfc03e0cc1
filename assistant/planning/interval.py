"""The exact interval of a share, with the standard library alone."""

from __future__ import annotations

import math
from collections.abc import Callable

__all__ = ["exact_interval"]

_HALVINGS = 60


def exact_interval(k: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Return the Clopper-Pearson interval of k of n.

    The limits solve P(X >= k) = a/2 and P(X <= k) = a/2. With n = 0 nothing is known: 0 to 1.

    Raises
    ------
    ValueError
        If not 0 <= k <= n, or the level is not between 0 and 1.

    Source
    ------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1.
    """
    if not 0 <= k <= n or not 0 < level < 1:
        raise ValueError("needs 0 <= k <= n and a level between 0 and 1")
    tail = (1 - level) / 2
    low = 0.0 if k == 0 else _crossing(lambda p: 1 - _binomial_cdf(k - 1, n, p) < tail)
    high = 1.0 if k == n else _crossing(lambda p: _binomial_cdf(k, n, p) > tail)
    return low, high


def _crossing(below: Callable[[float], bool]) -> float:
    """Return where ``below`` turns from true to false between 0 and 1."""
    left, right = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (left + right) / 2
        left, right = (middle, right) if below(middle) else (left, middle)
    return (left + right) / 2


def _binomial_cdf(k: int, n: int, p: float) -> float:
    whole = math.lgamma(n + 1)
    yes, no = math.log(p), math.log1p(-p)
    return math.fsum(
        math.exp(whole - math.lgamma(i + 1) - math.lgamma(n - i + 1) + i * yes + (n - i) * no) for i in range(k + 1)
    )
