"""Probabilities from counts and a prior."""

from __future__ import annotations

import math
from collections.abc import Sequence

__all__ = ["beta_mean", "dirichlet_means"]


def dirichlet_means(counts: Sequence[int], prior: Sequence[float]) -> tuple[float, ...]:
    """Return the posterior means (n_i + a_i) / sum of a Dirichlet prior ``a`` after counts ``n``; they sum to 1.

    Raises
    ------
    ValueError
        If the lengths differ, a count is below 0 or a prior is not above 0.

    Source
    ------
    Gelman and others, Bayesian Data Analysis, 3rd edition, section 3.4 (from memory).
    """
    if len(counts) != len(prior) or not counts:
        raise ValueError("counts and prior must be of one length, one at least")
    if min(counts) < 0 or not all(0 < share < math.inf for share in prior):
        raise ValueError("counts must be 0 or more, priors above 0")
    whole = sum(counts) + sum(prior)
    return tuple((count + share) / whole for count, share in zip(counts, prior, strict=True))


def beta_mean(hits: int, misses: int, prior_hits: float = 0.5, prior_misses: float = 0.5) -> float:
    """Return the posterior mean of a share, (hits + a) / (hits + misses + a + b).

    Parameters
    ----------
    prior_hits, prior_misses
        a and b of the Beta prior; that of Jeffreys where none is given.

    Raises
    ------
    ValueError
        If a count is below 0 or a prior is not above 0.

    Source
    ------
    Gelman and others, Bayesian Data Analysis, 3rd edition, sections 2.4 and 2.8 (from memory).
    """
    return dirichlet_means((hits, misses), (prior_hits, prior_misses))[0]
