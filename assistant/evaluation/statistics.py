"""Intervals and tests for what is measured on questions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import stats

__all__ = ["Share", "cohen_kappa", "holm", "kappa_interval", "sign_flip"]


@dataclass(frozen=True, slots=True)
class Share:
    """k of n, with the exact (Clopper-Pearson) interval."""

    k: int
    n: int

    @property
    def value(self) -> float:
        """K / n; 0 when there is nothing to count."""
        return self.k / self.n if self.n else 0.0

    def interval(self, level: float = 0.95) -> tuple[float, float]:
        """Return the exact two-sided interval.

        Source
        ------
        NIST/SEMATECH e-Handbook of Statistical Methods, section 7.2.4.1.
        """
        if not self.n:
            return 0.0, 1.0
        found = stats.binomtest(self.k, self.n).proportion_ci(level, method="exact")
        return float(found.low), float(found.high)

    def __str__(self) -> str:
        low, high = self.interval()
        return f"{self.k}/{self.n} = {self.value:.3f} [{low:.3f}, {high:.3f}]"


def sign_flip(left: Sequence[float], right: Sequence[float], draws: int = 10_000, seed: int = 1) -> float:
    """Return the two-sided p of a paired randomization test on the mean difference.

    p = (1 + draws at least as extreme) / (1 + draws).

    Source
    ------
    Smucker, Allan and Carterette, A comparison of statistical significance tests for information retrieval
    evaluation, CIKM 2007 (from memory).
    """
    difference = np.asarray(left, dtype=float) - np.asarray(right, dtype=float)
    difference = difference[difference != 0]
    if not len(difference):
        return 1.0
    observed = abs(difference.sum())
    random = np.random.default_rng(seed)
    hits = 0
    for start in range(0, draws, 1000):
        signs = random.choice((-1.0, 1.0), size=(min(1000, draws - start), len(difference)))
        hits += int((np.abs(signs @ difference) >= observed - 1e-12).sum())
    return (1 + hits) / (1 + draws)


def holm(p_values: Sequence[float]) -> list[float]:
    """Return the p values adjusted by Holm's step-down method, in the given order."""
    order = sorted(range(len(p_values)), key=lambda i: p_values[i])
    adjusted = [0.0] * len(p_values)
    running = 0.0
    for rank, i in enumerate(order):
        running = max(running, min(1.0, (len(p_values) - rank) * p_values[i]))
        adjusted[i] = running
    return adjusted


def cohen_kappa(first: Sequence[str], second: Sequence[str]) -> float:
    """Return Cohen's kappa of two labellers on the same items; 1 where both use one label alone."""
    from sklearn.metrics import cohen_kappa_score

    if len({*first, *second}) == 1:
        return 1.0
    return float(cohen_kappa_score(list(first), list(second)))


def kappa_interval(
    first: Sequence[str], second: Sequence[str], draws: int = 2000, seed: int = 1
) -> tuple[float, float]:
    """Return the 95 % percentile bootstrap interval of kappa, drawn over items."""
    random = np.random.default_rng(seed)
    one, two = np.asarray(first), np.asarray(second)
    values = []
    for _ in range(draws):
        chosen = random.integers(0, len(one), len(one))
        values.append(cohen_kappa(one[chosen].tolist(), two[chosen].tolist()))
    low, high = np.quantile(values, (0.025, 0.975))
    return float(low), float(high)
