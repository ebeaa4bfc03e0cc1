"""Scoring: stored integer weights, summed in a total order.

A note's score is what the linear model gives it, plus a share of the BM25F of its best chunk: that chunk's part of what
the best chunk of all has. Where no model is stored (documents without examples) BM25F ranks alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from assistant.model import Reason, ScoredNote
from assistant.ranking.linear import FeatureRow, Side, WordRow, quotient, word_points
from assistant.ranking.postings import TermRow
from assistant.values import NamedTuple

__all__ = ["FULL", "NONE", "Scores", "best_by_note", "best_chunks", "explain", "scaled", "sum_up"]

FULL = 100
"""Weights of a question's terms are in percent of this."""
MODEL_FIELD = "model"
NONE = -1
"""Number of the class of questions that no note covers."""


class Scores(NamedTuple):
    """What one question scores.

    ``order`` lists note numbers by ``total``, highest first, then by number (numbers follow the order of the ids).
    Where only the first were asked for, it ends after them, and the mappings find what is asked of another note then.
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
    sums = [0] * len(chunk_note)
    held: set[int] = set()
    for term, percent in terms:
        for part in rows[term].parts() if term in rows else ():
            held.update(part.chunks)
            if percent == FULL:
                for number, weight in zip(part.chunks, part.weights, strict=True):
                    sums[number] += weight
            else:
                for number, weight in zip(part.chunks, part.weights, strict=True):
                    sums[number] += weight * percent // FULL
    return best_by_note({chunk: sums[chunk] for chunk in held}, chunk_note)


def best_by_note(sums: Mapping[int, int], owner: Mapping[int, int] | Sequence[int]) -> dict[int, tuple[int, int]]:
    """Return for each note (sum, number) of its best chunk; ``owner`` is the note of a chunk by its number."""
    best: dict[int, tuple[int, int]] = {}
    highest: dict[int, int] = {}
    for number in sorted(sums):
        note, value = owner[number], sums[number]
        if note not in highest or value > highest[note]:
            highest[note] = value
            best[note] = value, number
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
    total = {note: points for note, points in model.items() if note != NONE}
    for note, (value, _) in chunk.items():
        total[note] = total.get(note, 0) + quotient(factor * value, divisor)
    order = sorted(sorted(total), key=total.__getitem__, reverse=True)
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
    weighed: Mapping[str, WordRow] | None = None,
) -> ScoredNote:
    """Return the note with the points of every term and field; they add up to its score exactly.

    What the model gives stands under its word or pair of words, its bias under the empty word.
    """
    reasons = [Reason("", MODEL_FIELD, bias)]
    if sides and features is not None:
        brought = word_points(words, sides, features, note, weighed)
        reasons += [Reason(word, MODEL_FIELD, points) for word, points in brought if points]
    number = scores.chunk.get(note, (0, None))[1]
    before = 0
    for term, percent in terms:
        held = rows[term].at(number) if number is not None and term in rows else None
        if held:
            after = before + scaled(held[0], percent)
            points = quotient(scores.factor * after, scores.divisor) - quotient(scores.factor * before, scores.divisor)
            reasons.append(Reason(term, fields[held[1]], points))
            before = after
    reasons = [reason for reason in reasons if reason.points]
    reasons.sort(key=lambda reason: (-reason.points, reason.term, reason.field))
    return ScoredNote(note_id, scores.total.get(note, 0), tuple(reasons))
