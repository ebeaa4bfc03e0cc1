"""Answer, ask which, or say that no note covers it: a frozen logistic model over the signs of a retrieval."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from assistant.answering.retrieve import Retrieval
from assistant.model import Decision
from assistant.ranking.score import DANGER, NONE

__all__ = ["DANGER_SIGNS", "MOST_OPTIONS", "Verdict", "best_urgent", "danger_signs", "decide", "logit"]

MOST_OPTIONS = 4
DANGER_SIGNS = ("points", "points_per_term", "share", "first", "nearest", "over_none", "covered")
_UNIT = 1_000_000
_MOST_POINTS = 6000


@dataclass(frozen=True, slots=True)
class Verdict:
    """What to do with a retrieval.

    ``notes`` are note numbers, best first: the note and the next nearest with ``answer``, those to pick from with
    ``choose``, the nearest with ``none``. ``confidence`` is the probability that the first note is right.
    """

    decision: Decision
    notes: tuple[int, ...]
    confidence: float
    safety_first: bool = False


def logit(features: Sequence[int], model: Mapping[str, Any]) -> int:
    """Return the log-odds in millionths: whole numbers, the same on every machine."""
    total: int = model["bias"]
    for value, weight in zip(features, model["weights"], strict=True):
        total += value * weight
    return total


def decide(retrieval: Retrieval, settings: Mapping[str, Any], safety: Sequence[int]) -> Verdict:
    """Decide on one retrieval.

    Parameters
    ----------
    settings
        ``pack.decision``.
    safety
        Numbers of the notes that deal with harm; one of them goes first where the question tells of danger.
    """
    scores = retrieval.scores
    if not scores.order:
        return Verdict("none", (), 0.0)
    order = list(scores.order)
    right = logit(retrieval.features, settings["right"])
    covered = logit(retrieval.features, settings["covered"])
    confidence = round(1 / (1 + math.exp(-max(-30 * _UNIT, min(30 * _UNIT, right)) / _UNIT)), 3)
    urgent = _urgent(retrieval, settings, safety, covered)
    if urgent is not None:
        order.remove(urgent)
        order.insert(0, urgent)
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence, safety_first=True)
    if right >= settings["answer_at"] and covered >= settings["answer_covered_at"]:
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence)
    if covered < settings["none_below"]:
        return Verdict("none", tuple(order[:3]), confidence)
    floor = scores.total[order[0]] * settings["choose_share"] // 1000
    close = [note for note in order[:MOST_OPTIONS] if scores.total[note] >= floor]
    return Verdict("choose", tuple(close if len(close) > 1 else order[:2]), confidence)


def danger_signs(retrieval: Retrieval, safety: Sequence[int], covered: int) -> tuple[int, ...]:
    """Return the signs, in thousandths, that a question tells of harm (see `DANGER_SIGNS`).

    ``covered`` is the log-odds, in millionths, that any note covers the question.
    """
    scores = retrieval.scores
    points = scores.learned.get(DANGER, 0)
    count = max(1, len(retrieval.terms))
    best = best_urgent(retrieval, safety)
    top = scores.total[scores.order[0]] if scores.order else 0
    share = scores.total[best] * 1000 // top if best is not None and top else 0
    near = scores.example.get(best, (0, 0))[0] if best is not None else 0
    none = scores.learned.get(NONE, 0)
    learned = scores.learned.get(best, 0) if best is not None else 0
    return (
        max(-_MOST_POINTS, min(_MOST_POINTS, points)),
        points // count if points >= 0 else -(-points // count),
        share,
        1000 * (share == 1000),
        near,
        (learned - none) * 1000 // (1 + max(learned, none)),
        max(-_MOST_POINTS, min(_MOST_POINTS, covered // 1000)),
    )


def best_urgent(retrieval: Retrieval, safety: Sequence[int]) -> int | None:
    """Return the number of the urgent note with the highest score, if any scores."""
    scores = retrieval.scores
    return min((n for n in safety if n in scores.total), key=lambda n: (-scores.total[n], n), default=None)


def _urgent(retrieval: Retrieval, settings: Mapping[str, Any], safety: Sequence[int], covered: int) -> int | None:
    if logit(danger_signs(retrieval, safety, covered), settings["danger"]) < settings["danger_at"]:
        return None
    return best_urgent(retrieval, safety)
