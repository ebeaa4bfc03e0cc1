"""Answer, ask which, or say that no note covers it: bars on three margins, and harm before everything else."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.answering.retrieve import Harm, Retrieval
from assistant.model import Decision
from assistant.ranking.score import NONE
from assistant.values import NamedTuple

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__all__ = ["MOST_OPTIONS", "Margins", "Verdict", "decide", "margins_of", "probability"]

MOST_OPTIONS = 4
_NEAREST = 3
_FAR = 10_000
"""Margin over what is not there: another note, or a class for no note."""


class Margins(NamedTuple):
    """How far the first note stands, in thousandths.

    ``lead`` is its score over that of the second note, ``over_none`` its points of the model over those of the class
    for no note, ``points`` are these points themselves.
    """

    lead: int
    over_none: int
    points: int


class Verdict(NamedTuple):
    """What to do with a retrieval.

    ``notes`` are note numbers, best first: the note and the next nearest with ``answer``, those to pick from with
    ``choose``, the nearest with ``none``. ``confidence`` is the probability that the first note is right, with ``none``
    that any note covers the question. ``harm_near`` tells that the question may tell of harm to somebody.
    """

    decision: Decision
    notes: tuple[int, ...]
    confidence: float
    safety_first: bool = False
    harm_near: bool = False


def margins_of(retrieval: Retrieval) -> Margins:
    """Return how far the first note of a retrieval that has one stands."""
    scores = retrieval.scores
    first, *others = scores.order[:2]
    lead = scores.total[first] - scores.total[others[0]] if others else _FAR
    points = scores.model.get(first, -_FAR)
    return Margins(lead, points - scores.model[NONE] if NONE in scores.model else _FAR, points)


def probability(margins: Margins, calibration: Mapping[str, Any]) -> float:
    """Return the probability that stands beside the weighed sum of the margins in a table of rising sums."""
    total = sum(weight * margin for weight, margin in zip(calibration["weights"], margins, strict=True))
    thousandths = 0
    for least, stated in calibration["table"]:
        if total < least:
            break
        thousandths = stated
    return thousandths / 1000


def decide(retrieval: Retrieval, settings: Mapping[str, Any], harmful: Sequence[int]) -> Verdict:
    """Decide on one retrieval.

    Parameters
    ----------
    settings
        ``pack.decision``.
    harmful
        Numbers of the notes that deal with harm. An alarm word, or a sentence in which such a note has many points,
        puts it first; where one comes near, and be it far behind, nothing is refused. One that stands first because
        nothing else does, far below none or with no word that any note holds, does not come near.
    """
    order, harm = list(retrieval.scores.order), retrieval.harm
    bars, near = settings["bars"], settings["harm"]
    alarm = harm.alarm
    if alarm is None and _stands(harm, near["bar"], 0):
        alarm = harm.note
    if alarm is not None:
        order = [alarm, *(note for note in order if note != alarm)]
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), _sure(retrieval, alarm, settings), True, True)
    if not order:
        return Verdict("none", (), 0.0)
    margins = margins_of(retrieval)
    sure = probability(margins, settings["right"])
    refused = margins.over_none < settings["refuse_below"]
    offered = refused and _stands(harm, near["offered"]["points"], near["offered"]["over_none"])
    first = bool(retrieval.rows) and order[0] in harmful and harm.over_none >= near["offered"]["over_none"]
    harm_near = offered or first or _stands(harm, near["near"], 0)
    if harm_near and harm.note is not None and harm.note not in order[:2]:
        order = [order[0], harm.note, *(note for note in order[1:] if note != harm.note)]
    if all(
        margin >= bar for margin, bar in zip(margins, (bars["lead"], bars["over_none"], bars["points"]), strict=True)
    ):
        return Verdict("answer", tuple(order[:MOST_OPTIONS]), sure, harm_near=harm_near)
    if refused and not harm_near:
        return Verdict("none", tuple(order[:_NEAREST]), probability(margins, settings["covered"]))
    total = retrieval.scores.total
    least = total[order[0]] - settings["choose_within"]
    within = [note for note in order[:MOST_OPTIONS] if (harm_near and note == harm.note) or total[note] >= least]
    return Verdict("choose", tuple(within if len(within) > 1 else order[:2]), sure, harm_near=harm_near)


def _stands(harm: Harm, points: int, over_none: int) -> bool:
    """Tell whether the note on harm that comes nearest has so many points, and so many over none."""
    return harm.note is not None and harm.points >= points and harm.over_none >= over_none


def _sure(retrieval: Retrieval, alarm: int, settings: Mapping[str, Any]) -> float:
    """Return the probability that a note put first by harm is right: its margins', and never below the alarm's own."""
    stated: float = settings["harm"]["right"] / 1000
    if retrieval.scores.order and retrieval.scores.order[0] == alarm:
        return max(stated, probability(margins_of(retrieval), settings["right"]))
    return stated
