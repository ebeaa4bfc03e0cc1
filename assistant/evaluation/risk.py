"""Trust in the stated confidence: what is answered at each bar, and how much of that is wrong."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from assistant.evaluation.labels import ANSWERABLE
from assistant.evaluation.run import Outcome, right_first

__all__ = [
    "Bar",
    "Point",
    "RiskCurve",
    "answered_outright",
    "area_under",
    "confidences",
    "risk_curve",
    "single_outcomes",
    "stated",
    "threshold_table",
]

BARS = (0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 0.98)
Confidences = Sequence[tuple[float, bool]]
"""(stated confidence, whether the first note is right) of each question."""


class Point(NamedTuple):
    """What is answered when the bar stands at ``confidence``: how large a share of all, and how much of it is wrong."""

    confidence: float
    coverage: float
    risk: float


class RiskCurve(NamedTuple):
    """Points from the highest confidence down to the lowest, and areas under the curve.

    ``aurc`` is the mean risk over all shares answered; ``best`` the least that any order of the same questions could
    reach, with all wrong ones last.
    """

    points: tuple[Point, ...]
    aurc: float
    best: float


class Bar(NamedTuple):
    """A bar on the confidence: what is answered at or above it, right and wrong, and what is not.

    ``held_back`` counts those not answered whose first note would have been right.
    """

    at: float
    answered: int
    right: int
    wrong: int
    none: int
    held_back: int


def confidences(found: Sequence[Outcome]) -> list[tuple[float, bool]]:
    """Return the confidence in each first note and whether it is right.

    Questions with one right note and those that no note covers count; where a safety note was put first the confidence
    speaks of another note than the one shown, so that these are left out.
    """
    return [(o.confidence, right_first(o)) for o in single_outcomes(found)]


def stated(found: Sequence[Outcome]) -> list[tuple[float, bool]]:
    """Return what is stated beside each answer and whether it came true.

    Of the questions of `confidences`: that the first note is right, beside ``none`` that any note covers the question.
    """
    return [
        (o.confidence, bool(o.question.notes) if o.decision == "none" else right_first(o))
        for o in single_outcomes(found)
    ]


def answered_outright(found: Sequence[Outcome]) -> tuple[float, float] | None:
    """Return (coverage, risk) of what is answered outright of the questions of `confidences`; None without questions.

    Not the confidence alone decides on that, so that it need not lie on the curve.
    """
    single = single_outcomes(found)
    rights = [right_first(o) for o in single if o.decision == "answer"]
    return (len(rights) / len(single), 1 - sum(rights) / len(rights) if rights else 0.0) if single else None


def single_outcomes(found: Sequence[Outcome]) -> list[Outcome]:
    """Return the outcomes of which the confidence is judged, in order."""
    return [o for o in found if o.question.manner in (*ANSWERABLE, "uncovered") and not o.safety_first]


def risk_curve(judged: Confidences) -> RiskCurve | None:
    """Return risk against coverage as the bar falls from the highest confidence to the lowest; None without questions.

    Questions of equal confidence come in together. The area is the mean over 1, 2, ... n questions answered of the
    share of wrong ones among them, within equal confidence of the share to be expected: it depends on no order of the
    file.

    Source
    ------
    Geifman, Uziel and El-Yaniv, Bias-reduced uncertainty estimation for deep neural classifiers, ICLR 2019 (from
    memory): the area under the risk-coverage curve.
    """
    if not judged:
        return None
    points = []
    answered, wrong = 0, 0
    ordered = sorted(judged, key=lambda pair: -pair[0])
    for confidence, group in groupby(ordered, key=lambda pair: pair[0]):
        rights = [right for _, right in group]
        answered += len(rights)
        wrong += len(rights) - sum(rights)
        points.append(Point(confidence, answered / len(judged), wrong / answered))
    right = len(judged) - wrong
    best = sum((place - right) / place for place in range(right + 1, len(judged) + 1))
    area = area_under(np.asarray([c for c, _ in judged]), np.asarray([right for _, right in judged]))
    return RiskCurve(tuple(points), area, best / len(judged))


def area_under(confidence: npt.NDArray[np.float64], right: npt.NDArray[np.bool_]) -> float:
    """Return the area under the curve of `risk_curve`; both of shape (questions,), one question at least."""
    _, group, counts = np.unique(-confidence, return_inverse=True, return_counts=True)
    errors = np.bincount(group, weights=~right)
    answered, wrong = np.cumsum(counts) - counts, np.cumsum(errors) - errors
    of = np.repeat(np.arange(len(counts)), counts)
    place = np.arange(1, len(right) + 1)
    return float(((wrong[of] + errors[of] * (place - answered[of]) / counts[of]) / place).mean())


def threshold_table(judged: Confidences, bars: Sequence[float] = BARS) -> list[Bar]:
    """Return what a bar on the confidence alone would do, for each of ``bars``."""
    rows = []
    for at in bars:
        answered = [right for confidence, right in judged if confidence >= at]
        held = [right for confidence, right in judged if confidence < at]
        rows.append(Bar(at, len(answered), sum(answered), len(answered) - sum(answered), len(held), sum(held)))
    return rows
