"""Every figure of a report that a bar can be set for, with its interval."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.stats import rankdata

from assistant.evaluation.breakdown import cluster_of
from assistant.evaluation.labels import ANSWERABLE
from assistant.evaluation.measures import per_query
from assistant.evaluation.report import Report
from assistant.evaluation.risk import Confidences, area_under, confidences, risk_curve, single_outcomes, stated
from assistant.evaluation.run import Outcome, shown_run
from assistant.evaluation.statistics import bootstrap_by_cluster

__all__ = ["Figure", "figures_of", "measured"]

_SHOWN = "as shown: "
_CONFIDENCE = "confidence: "
Score = Callable[[npt.NDArray[np.bool_], npt.NDArray[np.float64]], float]
"""Of what came true, and what was stated beside it."""


class Figure(NamedTuple):
    """A value and the ends of its 95 % interval: exact where it is a share, else drawn by note."""

    value: float
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.value:.3f} [{self.low:.3f}, {self.high:.3f}]"


def figures_of(report: Report) -> dict[str, float]:
    """Return every figure of a report that a bar can be set for, by name; those without a question are left out."""
    figures = {name: share.value for name, share in report.shares.items() if share.n}
    figures |= {f"{_SHOWN}{name}": value for name, value in report.means.items()}
    if report.calibration:
        figures[f"{_CONFIDENCE}Brier score"] = report.calibration.brier
        figures[f"{_CONFIDENCE}AUROC"] = report.calibration.auroc
    curve = risk_curve(confidences(report.outcomes))
    if curve:
        figures[f"{_CONFIDENCE}AURC"] = curve.aurc
    return figures


def measured(report: Report, names: Collection[str]) -> dict[str, Figure]:
    """Return those of the figures that are named and were measured, with their intervals.

    Means, Brier score and areas get a percentile bootstrap interval, whole notes drawn with all their questions; where
    fewer than two notes are asked for nothing is known, and it has no width.
    """
    values = {name: value for name, value in figures_of(report).items() if name in names}
    found = {}
    for name, value in values.items():
        if name in report.shares:
            ends: tuple[float, float] | None = report.shares[name].interval()
        elif name.startswith(_SHOWN):
            ends = _of_mean(report, name.removeprefix(_SHOWN))
        else:
            score, judged = _SCORES[name.removeprefix(_CONFIDENCE)]
            ends = _of_confidence(report.outcomes, score, judged(report.outcomes))
        low, high = ends or (value, value)
        found[name] = Figure(value, min(low, value), max(high, value))
    return found


def _of_mean(report: Report, measure: str) -> tuple[float, float] | None:
    covered = [o for o in report.outcomes if o.question.manner in ANSWERABLE]
    scored = per_query(*shown_run(covered), measure)
    values = np.asarray([scored[o.question.id] for o in covered])
    return bootstrap_by_cluster(lambda at: float(values[at].mean()), _clusters(covered))


def _of_confidence(outcomes: Sequence[Outcome], score: Score, judged: Confidences) -> tuple[float, float] | None:
    confidence, right = np.asarray([c for c, _ in judged]), np.asarray([came for _, came in judged])
    return bootstrap_by_cluster(lambda at: score(right[at], confidence[at]), _clusters(single_outcomes(outcomes)))


def _auroc(right: npt.NDArray[np.bool_], confidence: npt.NDArray[np.float64]) -> float:
    """Return the area as Mann and Whitney's U by its greatest value, a tenth of the time of a whole curve.

    No number where a draw holds right ones or wrong ones alone.
    """
    rights = int(right.sum())
    pairs = rights * (len(right) - rights)
    above = rankdata(confidence)[right].sum() - rights * (rights + 1) / 2
    return float(above / pairs) if pairs else float("nan")


def _aurc(right: npt.NDArray[np.bool_], confidence: npt.NDArray[np.float64]) -> float:
    return area_under(confidence, right) if len(right) else float("nan")


def _brier(right: npt.NDArray[np.bool_], confidence: npt.NDArray[np.float64]) -> float:
    return float(np.square(confidence - right).mean())


_SCORES: Mapping[str, tuple[Score, Callable[[Sequence[Outcome]], Confidences]]] = {
    "Brier score": (_brier, stated),
    "AUROC": (_auroc, stated),
    "AURC": (_aurc, confidences),
}


def _clusters(found: Sequence[Outcome]) -> list[str]:
    return [cluster_of(o.question) for o in found]
