"""In which order to make checks, when one fault is there and each check costs minutes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["Check", "after_clear", "best_order", "expected_minutes"]

_ROUNDING = 1e-9
_RATIO_DIGITS = 12


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
    """Return the other checks after one found nothing, with p / (1 - p of that one) by Bayes' rule.

    Raises
    ------
    ValueError
        If there is no such check, or it was certain to find the fault.
    """
    clear = next((check for check in checks if check.id == id), None)
    if clear is None:
        raise ValueError(f"no check '{id}'")
    if clear.probability >= 1:
        raise ValueError(f"the check '{id}' was certain to find the fault")
    rest = 1 - clear.probability
    return tuple(
        check._replace(probability=min(1.0, check.probability / rest)) for check in checks if check is not clear
    )


def _by_ratio(checks: Iterable[Check]) -> list[Check]:
    return sorted(checks, key=lambda check: -round(check.probability / check.minutes, _RATIO_DIGITS))


def _examine(checks: Sequence[Check]) -> None:
    for check in checks:
        if not check.minutes > 0:
            raise ValueError(f"minutes of '{check.id}' must be above 0")
        if not 0 <= check.probability <= 1:
            raise ValueError(f"probability of '{check.id}' must be between 0 and 1")
    if sum(check.probability for check in checks) > 1 + _ROUNDING:
        raise ValueError("probabilities must be 1 at most together")
