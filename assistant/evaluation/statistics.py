"""Intervals and tests for what is measured on questions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from assistant.planning.interval import exact_interval

__all__ = ["Share", "cluster_interval", "cohen_kappa", "holm", "kappa_interval", "sign_flip", "swap_test"]

_BLOCK = 1000
"""Draws that are held in memory at a time."""
_ALIKE = 1e-12
"""What rounding may take from a difference that is as extreme."""
Counts = Sequence[tuple[float, float]]
"""(what was right, what was counted) of each question."""


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
        return exact_interval(self.k, self.n, level)

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
    hits = 0
    for signs in _signs(draws, len(difference), seed):
        hits += int((np.abs(signs @ difference) >= observed - _ALIKE).sum())
    return (1 + hits) / (1 + draws)


def swap_test(left: Counts, right: Counts, draws: int = 10_000, seed: int = 1) -> float:
    """Return the two-sided p of a paired randomization test on the difference of two ratios.

    The ratio of a side is all that was right over all that was counted; the sides of each pair are swapped at random.
    Where both sides count every question alike this is `sign_flip` of what was right.

    Parameters
    ----------
    left, right
        (right, counted) of the same questions in the same order.
    """
    one, other = np.asarray(left, dtype=float).reshape(-1, 2), np.asarray(right, dtype=float).reshape(-1, 2)
    change = (one - other)[(one != other).any(axis=1)]
    if not len(change):
        return 1.0
    total = (one + other).sum(axis=0)
    observed = abs(_ratio_gap(total, change.sum(axis=0)))
    hits = 0
    for signs in _signs(draws, len(change), seed):
        hits += int((np.abs(_ratio_gap(total, signs @ change)) >= observed - _ALIKE).sum())
    return (1 + hits) / (1 + draws)


def _signs(draws: int, pairs: int, seed: int) -> Iterator[npt.NDArray[np.float64]]:
    random = np.random.default_rng(seed)
    for start in range(0, draws, _BLOCK):
        yield random.choice((-1.0, 1.0), size=(min(_BLOCK, draws - start), pairs))


def _ratio_gap(total: npt.NDArray[np.float64], change: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return the ratio of one side less that of the other; their sum is ``total``, their difference ``change``."""
    return _ratio((total + change) / 2) - _ratio((total - change) / 2)


def _ratio(sums: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    parts, wholes = sums[..., 0], sums[..., 1]
    return np.divide(parts, wholes, out=np.zeros_like(parts), where=wholes > 0)


def cluster_interval(
    left: Counts, right: Counts, clusters: Sequence[str], draws: int = 10_000, seed: int = 1, level: float = 0.95
) -> tuple[float, float] | None:
    """Return the percentile bootstrap interval of the ratio of ``right`` less that of ``left``.

    Whole clusters are drawn, so that questions on one note, which stand and fall together, do not pass for
    independent ones. None where there are fewer than two clusters, of which nothing can be drawn.

    Parameters
    ----------
    left, right
        (right, counted) of the same questions in the same order.
    clusters
        The cluster of each question.

    Source
    ------
    Cameron, Gelbach and Miller, Bootstrap-based improvements for inference with clustered errors, Review of Economics
    and Statistics 90(3), 2008: the pairs cluster bootstrap (from memory).
    """
    names, number = np.unique(np.asarray(clusters, dtype=str), return_inverse=True)
    if len(names) < 2:
        return None
    sums = np.zeros((len(names), 4))
    np.add.at(sums, number, np.hstack([np.asarray(left, dtype=float), np.asarray(right, dtype=float)]))
    random = np.random.default_rng(seed)
    gaps = []
    for start in range(0, draws, _BLOCK):
        times = random.multinomial(len(names), np.full(len(names), 1 / len(names)), size=min(_BLOCK, draws - start))
        drawn = times @ sums
        gaps.append(_ratio(drawn[:, 2:]) - _ratio(drawn[:, :2]))
    tail = (1 - level) / 2
    low, high = np.quantile(np.concatenate(gaps), (tail, 1 - tail))
    return float(low), float(high)


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
