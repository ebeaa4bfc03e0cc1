"""Does the stated confidence hold? Reliability by bin, Brier score, area under the ROC curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from sklearn.metrics import brier_score_loss, roc_auc_score

from assistant.evaluation.statistics import Share

__all__ = ["Bin", "Calibration", "calibrate"]

EDGES = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Bin:
    """Questions whose confidence lies from ``low`` up to ``high``: how confident on average, how many right."""

    low: float
    high: float
    confidence: float
    right: Share

    @property
    def holds(self) -> bool:
        """Whether what is stated lies within the exact 95 % interval of what came true."""
        low, high = self.right.interval()
        return low <= self.confidence <= high


@dataclass(frozen=True, slots=True)
class Calibration:
    """``brier`` is the mean squared error of the confidence, ``auroc`` how well it ranks right above wrong."""

    bins: tuple[Bin, ...]
    brier: float
    auroc: float


def calibrate(confidence: Sequence[float], right: Sequence[bool]) -> Calibration | None:
    """Hold the confidence in each first note against whether it was right; None without both outcomes.

    Source
    ------
    Brier, Verification of forecasts expressed in terms of probability, Monthly Weather Review 78, 1950 (from memory).
    """
    if len(set(right)) < len((False, True)):
        return None
    bins = []
    for low, high in pairwise(EDGES):
        chosen = [(c, r) for c, r in zip(confidence, right, strict=True) if low <= c < high or c == high == EDGES[-1]]
        if chosen:
            mean = sum(c for c, _ in chosen) / len(chosen)
            bins.append(Bin(low, high, mean, Share(sum(r for _, r in chosen), len(chosen))))
    return Calibration(tuple(bins), float(brier_score_loss(right, confidence)), float(roc_auc_score(right, confidence)))
