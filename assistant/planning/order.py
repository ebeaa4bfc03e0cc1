"""In which order to make checks, when one fault is there and each check costs minutes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["Check", "after_clear", "best_order", "expected_minutes"]

_ROUNDING = 1e-9
_RATIO = ".12g"
"""Digits of a ratio that count, so that 0.3 / 3 and 0.2 / 2 are a tie."""


class Check(NamedTuple):
    """One check: the probability that it finds the fault, and its minutes; a ``fixed`` one keeps its place."""

    id: str
    probability: float
    minutes: float
    fixed: bool = False


def expected_minutes(checks: Sequence[Check]) -> float:
    """Return the minutes until the fault is found, on average; what no check finds pays for all of them.

    Raises
    ------
    ValueError
        If minutes are not above 0, or probabilities are not between 0 and 1 and 1 at most together.

    Source
    ------
    The cost of a sequence as in Kadane and Simon (see `best_order`), computed for this project.
    """
    _examine(checks)
    spent = total = found = 0.0
    for check in checks:
        spent += check.minutes
        total += check.probability * spent
        found += check.probability
    return total + max(0.0, 1 - found) * spent


def best_order(checks: Sequence[Check]) -> tuple[Check, ...]:
    """Return the order with the least expected minutes in which every fixed check keeps its place.

    Between fixed checks the highest probability a minute goes first; ties keep the order given.

    Raises
    ------
    ValueError
        As `expected_minutes`.

    Source
    ------
    Kadane and Simon, Optimal strategies for a class of constrained sequential problems, Annals of Statistics 5 (1977)
    237-255, the rule of p over c (restated in a secondary source).
    """
    _examine(checks)
    ordered: list[Check] = []
    movable: list[Check] = []
    for check in checks:
        if check.fixed:
            ordered += [*_by_ratio(movable), check]
            movable = []
        else:
            movable.append(check)
    return (*ordered, *_by_ratio(movable))


def after_clear(checks: Sequence[Check], id: str) -> tuple[Check, ...]:
    """Return the other checks after one found nothing, each with its p / (1 - p of that one).

    Raises
    ------
    ValueError
        If there is no such check, or it was certain to find the fault, or as `expected_minutes`.

    Source
    ------
    Bayes' rule (from memory).
    """
    _examine(checks)
    clear = next((check for check in checks if check.id == id), None)
    if clear is None:
        raise ValueError(f"no check '{id}'")
    if clear.probability >= 1:
        raise ValueError(f"the check '{id}' was certain to find the fault")
    others = [check for check in checks if check is not clear]
    rest = max(1 - clear.probability, math.fsum(check.probability for check in others))
    return tuple(check._replace(probability=check.probability / rest) for check in others)


def _by_ratio(checks: Iterable[Check]) -> list[Check]:
    return sorted(checks, key=lambda check: -float(format(check.probability / check.minutes, _RATIO)))


def _examine(checks: Sequence[Check]) -> None:
    for check in checks:
        if not 0 < check.minutes < math.inf:
            raise ValueError(f"minutes of '{check.id}' must be a number above 0")
        if not 0 <= check.probability <= 1:
            raise ValueError(f"probability of '{check.id}' must be between 0 and 1")
    if math.fsum(check.probability for check in checks) > 1 + _ROUNDING:
        raise ValueError("probabilities must be 1 at most together")
