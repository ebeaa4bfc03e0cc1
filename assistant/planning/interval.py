"""The exact interval of a share, with the standard library alone."""

from __future__ import annotations

import math

__all__ = ["exact_interval"]

_HALVINGS = 60
_NEGLIGIBLE = 1e-17


def exact_interval(k: int, n: int, level: float = 0.95) -> tuple[float, float]:
    """Return the Clopper-Pearson interval of k of n.

    The limits solve P(X >= k) = a/2 and P(X <= k) = a/2. With n = 0 nothing is known: 0 to 1.

    Raises
    ------
    ValueError
        If not 0 <= k <= n, or the level is not between 0 and 1.

    Source
    ------
    NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1 (restated in a secondary source).
    """
    if not 0 <= k <= n or not 0 < level < 1:
        raise ValueError("needs 0 <= k <= n and a level between 0 and 1")
    tail = (1 - level) / 2
    return _low(k, n, tail), 1 - _low(n - k, n, tail)


def _low(k: int, n: int, tail: float) -> float:
    """Return the p with P(X >= k) = tail, by halving 0 to k / n; the upper limit of k is 1 less that of n - k."""
    if k == 0:
        return 0.0
    left, right = 0.0, k / n
    for _ in range(_HALVINGS):
        middle = (left + right) / 2
        left, right = (middle, right) if _at_least(k, n, middle) < tail else (left, middle)
    return (left + right) / 2


def _at_least(k: int, n: int, p: float) -> float:
    """Return P(X >= k) for p below k / n, where every term is less than the one before it."""
    ways = math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
    term = math.exp(ways + k * math.log(p) + (n - k) * math.log1p(-p))
    odds = p / (1 - p)
    total = 0.0
    while term > total * _NEGLIGIBLE:
        total += term
        term *= (n - k) / (k + 1) * odds
        k += 1
    return total
