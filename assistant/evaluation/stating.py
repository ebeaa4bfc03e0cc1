"""Probabilities to state beside an answer: learned from margins and what came true."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from sklearn.isotonic import IsotonicRegression
from sklearn.linear_model import LogisticRegression

from assistant.answering.decide import Margins
from assistant.evaluation.enough import FEWEST_OF_A_KIND

__all__ = ["LEAST_BAND", "steps", "table_of"]

LEAST_BAND = 60
"""So many questions stand behind each stated probability."""
_SCALE = 100


def table_of(margins: Sequence[Margins], true: Sequence[bool]) -> dict[str, Any] | None:
    """Return weights of the margins and a table from their weighed sum to a probability in thousandths.

    None where too few questions came out either way to tell the two apart.

    The weights are those of a logistic model, the table that of an isotonic regression whose steps hold at least
    `LEAST_BAND` questions.

    Source
    ------
    Zadrozny and Elkan, Transforming classifier scores into accurate multiclass probability estimates, KDD 2002 (from
    memory).
    """
    x = np.array(margins, dtype=float).clip(-3000, 3000) / 1000
    y = np.array(true, dtype=bool)
    if min(y.sum(), (~y).sum()) < FEWEST_OF_A_KIND:
        return None
    model = LogisticRegression(C=10.0, max_iter=1000).fit(x, y)
    weights = np.rint(_SCALE * model.coef_[0]).astype(int)
    sums = np.array(margins) @ weights
    order = np.argsort(sums, kind="stable")
    fitted = IsotonicRegression(out_of_bounds="clip").fit_transform(sums[order], y[order].astype(float))
    return {"weights": weights.tolist(), "table": steps(sums[order], fitted, y[order])}


def steps(sums: npt.NDArray[np.int64], fitted: npt.NDArray[np.float64], y: npt.NDArray[np.bool_]) -> list[list[int]]:
    """Return (least sum, thousandths) of the steps, neighbouring ones joined until each holds enough questions.

    Questions of equal sums have equal fits.
    """
    table: list[list[int]] = []
    start = 0
    for end in range(1, len(sums) + 1):
        ended = end < len(sums) and fitted[end] != fitted[end - 1]
        if end == len(sums) or (ended and min(end - start, len(sums) - end) >= LEAST_BAND):
            table.append([int(sums[start]), round(1000 * float(y[start:end].mean()))])
            start = end
    table[0][0] = -(10**9)
    return table
