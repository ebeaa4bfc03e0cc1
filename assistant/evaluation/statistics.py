"""Intervals and tests for what is measured on questions."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy import stats

__all__ = [
    "Share",
    "bootstrap_by_cluster",
    "cluster_interval",
    "cohen_kappa",
    "holm",
    "kappa_interval",
    "sign_flip",
    "swap_test",
]

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
        if not self.n:
            return 0.0, 1.0
        found = stats.binomtest(self.k, self.n).proportion_ci(level, method="exact")
        return float(found.low), float(found.high)

    def __str__(self) -> str:
        low, high = self.interval()
        return f"{self.k}/{self.n} = {self.value:.3f} [{low:.3f}, {high:.3f}]"


def sign_flip(left: Sequence[float], right: Sequence[float], draws: int = 10_000, seed: int = 1) -> float:
    """Return the two-sided p of a paired randomization test on the mean difference.

    p = (1 + draws at least as extreme) / (1 + draws); where there are no more sign patterns than draws, all of them are
    gone through and p is exact.

    Source
    ------
    Smucker, Allan and Carterette, A comparison of statistical significance tests for information retrieval
    evaluation, CIKM 2007 (from memory).
    """
    difference = np.asarray(left, dtype=float) - np.asarray(right, dtype=float)
    difference = difference[difference != 0]
    if len(difference) < len((-1, 1)):
        return 1.0
    found = stats.permutation_test(
        (difference,),
        lambda drawn, axis: np.abs(drawn.sum(axis=axis)),
        permutation_type="samples",
        alternative="greater",
        vectorized=True,
        n_resamples=draws,
        batch=_BLOCK,
        rng=np.random.default_rng(seed),
    )
    return float(found.pvalue)


def swap_test(left: Counts, right: Counts, draws: int = 10_000, seed: int = 1) -> float:
    """Return the two-sided p of a paired randomization test on the difference of two ratios.

    The ratio of a side is all that was right over all that was counted; the sides of each pair are swapped at random.
    Where both sides count every question alike this is the test of `sign_flip` on what was right.

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
    counts = np.hstack([np.asarray(left, dtype=float).reshape(-1, 2), np.asarray(right, dtype=float).reshape(-1, 2)])
    names, number = np.unique(np.asarray(clusters, dtype=str), return_inverse=True)
    sums = np.zeros((len(names), 4))
    np.add.at(sums, number, counts)

    def gap(drawn: npt.NDArray[np.intp], axis: int = -1) -> npt.NDArray[np.float64]:
        total = sums[drawn].sum(axis=axis - 1)
        return _ratio(total[..., 2:]) - _ratio(total[..., :2])

    return _drawn(gap, len(names), draws, seed, level, vectorized=True)


def bootstrap_by_cluster(
    statistic: Callable[[npt.NDArray[np.intp]], float],
    clusters: Sequence[str],
    draws: int = 999,
    seed: int = 1,
    level: float = 0.95,
) -> tuple[float, float] | None:
    """Return the percentile bootstrap interval of any figure of questions, whole clusters drawn as above.

    Parameters
    ----------
    statistic
        Returns the figure of the questions at some places; one that stands there twice counts twice. A draw of which
        it is not a number is left out.
    """
    _, number = np.unique(np.asarray(clusters, dtype=str), return_inverse=True)
    members = [np.flatnonzero(number == cluster) for cluster in range(number.max(initial=-1) + 1)]
    return _drawn(
        lambda drawn: statistic(np.concatenate([members[cluster] for cluster in drawn])),
        len(members),
        draws,
        seed,
        level,
        vectorized=False,
    )


def _drawn(
    statistic: Callable[..., Any], clusters: int, draws: int, seed: int, level: float, *, vectorized: bool
) -> tuple[float, float] | None:
    if clusters < len((0, 1)):
        return None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", stats.DegenerateDataWarning)
        found = stats.bootstrap(
            (np.arange(clusters),),
            statistic,
            n_resamples=draws,
            batch=_BLOCK if vectorized else None,
            vectorized=vectorized,
            method="percentile",
            rng=np.random.default_rng(seed),
        )
    tail = (1 - level) / 2
    told = found.bootstrap_distribution[np.isfinite(found.bootstrap_distribution)]
    if not len(told):
        return None
    low, high = np.quantile(told, (tail, 1 - tail))
    return float(low), float(high)


def holm(p_values: Sequence[float]) -> list[float]:
    """Return the p values adjusted by Holm's step-down method, in the given order."""
    from statsmodels.stats.multitest import multipletests

    return [float(p) for p in multipletests(list(p_values), method="holm")[1]] if p_values else []


def cohen_kappa(first: npt.ArrayLike, second: npt.ArrayLike) -> float:
    """Return Cohen's kappa of two labellers on the same items; 1 where both use one label alone."""
    found, codes = np.unique([np.asarray(first), np.asarray(second)], return_inverse=True)
    one, other = codes.reshape(2, -1)
    return _kappa_of(one, other, len(found))


def _kappa_of(one: npt.NDArray[np.intp], other: npt.NDArray[np.intp], labels: int) -> float:
    """Return kappa of labels as numbers below ``labels``.

    Source
    ------
    Cohen, A coefficient of agreement for nominal scales, Educational and Psychological Measurement 20, 1960 (from
    memory).
    """
    counts = np.bincount(one, minlength=labels) @ np.bincount(other, minlength=labels)
    chance, agreed = float(counts) / len(one) ** 2, float((one == other).mean())
    return 1.0 if chance == 1 else (agreed - chance) / (1 - chance)


def kappa_interval(
    first: Sequence[str], second: Sequence[str], draws: int = 999, seed: int = 1
) -> tuple[float, float] | None:
    """Return the 95 % percentile bootstrap interval of kappa, drawn over items; None where there is one alone."""
    _, codes = np.unique([*first, *second], return_inverse=True)
    one, two = codes[: len(first)], codes[len(first) :]
    labels = int(codes.max(initial=0)) + 1
    items = [str(number) for number in range(len(one))]
    return bootstrap_by_cluster(lambda chosen: _kappa_of(one[chosen], two[chosen], labels), items, draws, seed)
