"""Answer, ask which, or say that no note covers it: frozen logistic models over the signs of a retrieval."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from assistant.answering.retrieve import Retrieval
from assistant.model import Decision

__all__ = ["DANGER_SIGNS", "MOST_OPTIONS", "Verdict", "capped", "danger_signs", "decide", "logit"]

DANGER_SIGNS = ("alarm", "harm_share", "harm_first", "second_harm_share", "few_terms", "right", "covered")
"""Names of the signs of `danger_signs`, all in thousandths."""
MOST_OPTIONS = 4
_UNIT = 1_000_000
_MOST_LOGIT = 6000


class Verdict(NamedTuple):
    """What to do with a retrieval.

    ``notes`` are note numbers, best first: the note and the next nearest with ``answer``, those to pick from with
    ``choose``, the nearest with ``none``. ``confidence`` is the probability that the first note is right, ``danger``
    the log-odds, in millionths, that the question tells of harm to somebody now.
    """

    decision: Decision
    notes: tuple[int, ...]
    confidence: float
    safety_first: bool = False
    danger: int = 0


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
        Numbers of the notes that deal with harm; one of them goes first where the question tells of danger, and none
        that comes near is ever refused: the rep is asked which. Where one of them is surely right nobody is asked.
    """
    if not retrieval.scores.order:
        return Verdict("none", (), 0.0)
    right = logit(retrieval.features, settings["right"])
    covered = logit(retrieval.features, settings["covered"])
    confidence = round(1 / (1 + math.exp(-max(-30 * _UNIT, min(30 * _UNIT, right)) / _UNIT)), 3)
    danger = logit(danger_signs(retrieval, right, covered, safety), settings["danger"])
    harm = _best_harm(retrieval, safety)
    order, total = _nearest(retrieval, settings)
    if harm is not None and danger >= settings["danger_at"]:
        order = [harm, *(note for note in order if note != harm)]
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence, safety_first=True, danger=danger)
    if harm is not None and danger >= settings["danger_mention_at"] and harm != order[0]:
        order = [order[0], harm, *(note for note in order[1:] if note != harm)]
    sure = right >= settings["answer_at"] and covered >= settings["answer_covered_at"]
    if sure and (order[0] in safety or logit(retrieval.features, settings["vague"]) < settings["vague_at"]):
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), confidence, danger=danger)
    if logit(retrieval.features, settings["fits"]) < settings["none_below"] and harm not in order[:2]:
        return Verdict("none", tuple(order[:3]), confidence, danger=danger)
    floor = total[order[0]] * settings["choose_share"] // 1000
    close = [note for note in order[:MOST_OPTIONS] if total[note] >= floor]
    return Verdict("choose", tuple(close if len(close) > 1 else order[:2]), confidence, danger=danger)


def _nearest(retrieval: Retrieval, settings: Mapping[str, Any]) -> tuple[list[int], dict[int, int]]:
    """Return the first note and, by their score, the others; those that the same questions fit are raised."""
    scores = retrieval.scores
    first = scores.order[0]
    total = dict(scores.total)
    for note, weight in retrieval.kin:
        total[note] = total.get(note, 0) + scores.total[first] * weight * settings["kin_share"] // _UNIT
    others = sorted((note for note in total if note != first), key=lambda note: (-total[note], note))
    return [first, *others], total


def danger_signs(retrieval: Retrieval, right: int, covered: int, safety: Sequence[int]) -> tuple[int, ...]:
    """Return the signs, in thousandths, that tell of harm (see `DANGER_SIGNS`).

    They are the turns of phrase, how near the notes on harm come to the first, and the log-odds, in millionths, that
    the first note is right and that any covers the question.
    """
    total, order = retrieval.scores.total, retrieval.scores.order
    top = total[order[0]] if order else 0
    near = sorted((total.get(note, 0) for note in safety), reverse=True)[:2]
    shares = [1000 * value // top if top > 0 else 0 for value in (*near, 0, 0)]
    return (
        retrieval.alarm,
        shares[0],
        1000 * bool(order and order[0] in safety),
        shares[1],
        1000 // (1 + len(retrieval.terms)),
        capped(right),
        capped(covered),
    )


def _best_harm(retrieval: Retrieval, safety: Sequence[int]) -> int | None:
    total = retrieval.scores.total
    return min((note for note in safety if note in total), key=lambda note: (-total[note], note), default=None)


def capped(value: int) -> int:
    """Return log-odds in millionths as a sign in thousandths, within bounds."""
    return max(-_MOST_LOGIT, min(_MOST_LOGIT, value // 1000))
