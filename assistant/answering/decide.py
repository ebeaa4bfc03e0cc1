"""Answer, ask which, or say that no note covers it: a frozen logistic model over the signs of a retrieval."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from assistant.answering.retrieve import Retrieval
from assistant.model import Decision
from assistant.ranking.score import DANGER

__all__ = ["MOST_OPTIONS", "Verdict", "danger_points", "decide", "logit"]

MOST_OPTIONS = 4
_UNIT = 1_000_000


class Verdict(NamedTuple):
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
        order = [urgent, *(note for note in order if note != urgent)]
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence, safety_first=True)
    mentioned = None
    if danger_points(retrieval) > 0:
        mentioned = _near_harm(retrieval, settings, safety, covered, settings["danger_mention_share"])
    if mentioned is not None and mentioned != order[0]:
        order = [order[0], mentioned, *(note for note in order[1:] if note != mentioned)]
    if right >= settings["answer_at"] and covered >= settings["answer_covered_at"]:
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence)
    if covered < settings["none_below"]:
        return Verdict("none", tuple(order[:3]), confidence)
    floor = scores.total[order[0]] * settings["choose_share"] // 1000
    close = [note for note in order[:MOST_OPTIONS] if scores.total[note] >= floor]
    return Verdict("choose", tuple(close if len(close) > 1 else order[:2]), confidence)


def danger_points(retrieval: Retrieval) -> int:
    """Return how strongly the words of a question tell of harm: log-odds in hundredths, above 0 for harm."""
    return retrieval.scores.learned.get(DANGER, 0)


def _urgent(retrieval: Retrieval, settings: Mapping[str, Any], safety: Sequence[int], covered: int) -> int | None:
    """Return the safety note that goes first: where the words tell of harm and a note on harm is near the top."""
    if danger_points(retrieval) < settings["danger_at"]:
        return None
    return _near_harm(retrieval, settings, safety, covered, settings["danger_share"])


def _near_harm(
    retrieval: Retrieval, settings: Mapping[str, Any], safety: Sequence[int], covered: int, share: int
) -> int | None:
    """Return the best note on harm, if it scores ``share`` thousandths of the first and notes cover the question."""
    total, order = retrieval.scores.total, retrieval.scores.order
    best = min((n for n in safety if n in total), key=lambda n: (-total[n], n), default=None)
    if best is None or covered < settings["danger_covered_at"]:
        return None
    return best if total[best] * 1000 >= total[order[0]] * share else None
