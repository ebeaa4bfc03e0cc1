"""Scoring: stored integer weights, summed in a total order.

A note's score is what the linear model gives it, plus a share of the BM25F of its best chunk: that chunk's part of what
the best chunk of all has. Where no model is stored (documents without examples) BM25F ranks alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.model import Reason, ScoredNote
from assistant.ranking.linear import FeatureRow, Side, quotient, word_points

__all__ = ["FULL", "NONE", "Scores", "TermRow", "best_chunks", "explain", "scaled", "sum_up"]

FULL = 100
"""Weights of a question's terms are in percent of this."""
MODEL_FIELD = "model"
NONE = -1
"""Number of the class of questions that no note covers."""


class TermRow(NamedTuple):
    """(chunk, weight, field number) of every chunk that holds a term."""

    chunks: Sequence[tuple[int, int, int]]


class Scores(NamedTuple):
    """What one question scores.

    ``order`` lists note numbers by ``total``, highest first, then by number (numbers follow the order of the ids).
    ``chunk`` maps a note to (sum, number) of its best chunk, ``model`` a note or `NONE` to its points of the model;
    ``factor`` and ``divisor`` turn a chunk's sum into points.
    """

    total: Mapping[int, int]
    order: Sequence[int]
    chunk: Mapping[int, tuple[int, int]]
    model: Mapping[int, int]
    factor: int = 1
    divisor: int = 1


def best_chunks(
    terms: Sequence[tuple[str, int]], rows: Mapping[str, TermRow], chunk_note: Sequence[int]
) -> dict[int, tuple[int, int]]:
    """Return for each note (sum, number) of its best chunk, of equal sums the lower number.

    Parameters
    ----------
    terms
        (term, weight in percent), each term once.
    chunk_note
        Note number of each chunk.
    """
    sums: dict[int, int] = {}
    for term, percent in terms:
        for number, weight, _ in rows[term].chunks if term in rows else ():
            sums[number] = sums.get(number, 0) + scaled(weight, percent)
    best: dict[int, tuple[int, int]] = {}
    for number in sorted(sums):
        note = chunk_note[number]
        if note not in best or sums[number] > best[note][0]:
            best[note] = (sums[number], number)
    return best


def sum_up(chunk: Mapping[int, tuple[int, int]], model: Mapping[int, int], share: int) -> Scores:
    """Add the share of BM25F to the points of the model.

    Parameters
    ----------
    share
        Points that the best chunk of all brings its note; the others bring theirs in proportion.
    """
    top = max((value for value, _ in chunk.values()), default=0)
    factor, divisor = (share, top or 1) if model else (1, 1)
    notes = chunk.keys() | {note for note in model if note != NONE}
    total = {note: model.get(note, 0) + quotient(factor * chunk.get(note, (0, 0))[0], divisor) for note in notes}
    order = sorted(total, key=lambda note: (-total[note], note))
    return Scores(total, order, chunk, model, factor, divisor)


def scaled(weight: int, percent: int) -> int:
    """Return ``percent`` of ``weight``, rounded towards zero."""
    return quotient(weight * percent, FULL)


def explain(
    note: int,
    note_id: str,
    terms: Sequence[tuple[str, int]],
    rows: Mapping[str, TermRow],
    scores: Scores,
    fields: Sequence[str],
    words: Sequence[str] = (),
    sides: Sequence[Side] = (),
    features: Mapping[str, FeatureRow] | None = None,
    bias: int = 0,
) -> ScoredNote:
    """Return the note with the points of every term and field; they add up to its score exactly.

    What the model gives stands under its word or pair of words, its bias under the empty word.
    """
    reasons = [Reason("", MODEL_FIELD, bias)]
    if features:
        reasons += [Reason(word, MODEL_FIELD, points) for word, points in word_points(words, sides, features, note)]
    number = scores.chunk.get(note, (0, None))[1]
    before = 0
    for term, percent in terms:
        for chunk, weight, field in rows[term].chunks if term in rows else ():
            if chunk == number:
                after = before + scaled(weight, percent)
                points = quotient(scores.factor * after, scores.divisor)
                points -= quotient(scores.factor * before, scores.divisor)
                reasons.append(Reason(term, fields[field], points))
                before = after
    reasons = [reason for reason in reasons if reason.points]
    reasons.sort(key=lambda reason: (-reason.points, reason.term, reason.field))
    return ScoredNote(note_id, scores.total.get(note, 0), tuple(reasons))
