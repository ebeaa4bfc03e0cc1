"""Scoring: stored integer weights, summed term by term, in a total order.

A note's score is the best of its chunks plus its learned weights. Both are sums of one stored integer a term, scaled by
the percent that the term weighs in the question, so the score is the same to the last point in any language that has
whole numbers. Example questions are scored beside them, as cosines in thousandths: they decide, they do not rank.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from assistant.model import Reason, ScoredNote

__all__ = ["FULL", "NONE", "Scores", "TermRow", "explain", "quotient", "scaled", "score_terms"]

FULL = 100
"""Weights of a question's terms are in percent of this."""
LEARNED_FIELD = "learned"
NONE = -1
"""Number of the class of questions that no note covers."""


class TermRow(NamedTuple):
    """All weights stored for one term.

    ``chunks`` holds (chunk, weight, field number), ``learned`` (note, weight), ``examples`` (example, thousandths);
    ``mass`` is the idf of the term in thousandths.
    """

    mass: int
    chunks: Sequence[tuple[int, int, int]] = ()
    learned: Sequence[tuple[int, int]] = ()
    examples: Sequence[tuple[int, int]] = ()


class Scores(NamedTuple):
    """What one question scores.

    ``order`` lists note numbers by ``total``, highest first, then by number (numbers follow the order of the ids).
    ``chunk`` maps a note to (sum, number) of its best chunk, ``example`` to (cosine in thousandths, number) of its next
    example question; `NONE` stands for what no note covers.
    """

    total: Mapping[int, int]
    order: Sequence[int]
    chunk: Mapping[int, tuple[int, int]]
    learned: Mapping[int, int]
    example: Mapping[int, tuple[int, int]]


def score_terms(
    terms: Sequence[tuple[str, int]],
    rows: Mapping[str, TermRow],
    chunk_note: Sequence[int],
    example_note: Sequence[int],
) -> Scores:
    """Score every note that shares a term with the question.

    Parameters
    ----------
    terms
        (term, weight in percent), each term once.
    rows
        What the pack stores for these terms.
    chunk_note, example_note
        Note number of each chunk and of each example question.
    """
    chunk_sums: dict[int, int] = {}
    example_sums: dict[int, int] = {}
    learned: dict[int, int] = {}
    squares = 0
    for term, percent in terms:
        row = rows.get(term)
        if row is None:
            continue
        mass = scaled(row.mass, percent)
        if row.chunks or row.examples:
            squares += mass * mass
        for number, weight, _ in row.chunks:
            chunk_sums[number] = chunk_sums.get(number, 0) + scaled(weight, percent)
        for number, weight in row.learned:
            learned[number] = learned.get(number, 0) + scaled(weight, percent)
        for number, weight in row.examples:
            example_sums[number] = example_sums.get(number, 0) + weight * mass
    norm = math.isqrt(squares) or 1
    chunk = _best(chunk_sums, chunk_note)
    example = _best({number: total // norm for number, total in example_sums.items()}, example_note)
    notes = chunk.keys() | {note for note in learned if note >= 0}
    total = {note: chunk.get(note, (0, 0))[0] + learned.get(note, 0) for note in notes}
    order = sorted(total, key=lambda note: (-total[note], note))
    return Scores(total, order, chunk, learned, example)


def scaled(weight: int, percent: int) -> int:
    """Return ``percent`` of ``weight``, rounded towards zero."""
    return quotient(weight * percent, FULL)


def quotient(part: int, whole: int) -> int:
    """Return ``part / whole`` rounded towards zero, as most languages divide; ``whole`` is above 0."""
    return part // whole if part >= 0 else -(-part // whole)


def _best(sums: Mapping[int, int], owner: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Return for each note (best sum, its number); of equal sums the lower number."""
    best: dict[int, tuple[int, int]] = {}
    for number in sorted(sums):
        note = owner[number]
        if note not in best or sums[number] > best[note][0]:
            best[note] = (sums[number], number)
    return best


def explain(
    note: int,
    note_id: str,
    terms: Sequence[tuple[str, int]],
    rows: Mapping[str, TermRow],
    scores: Scores,
    fields: Sequence[str],
) -> ScoredNote:
    """Return the note with the points of every term and field; they add up to its score exactly."""
    chunk = scores.chunk.get(note, (0, None))[1]
    reasons: list[Reason] = []
    for term, percent in terms:
        row = rows.get(term)
        if row is None:
            continue
        found = [(fields[f], w) for n, w, f in row.chunks if n == chunk]
        found += [(LEARNED_FIELD, w) for n, w in row.learned if n == note]
        reasons += [Reason(term, name, scaled(weight, percent)) for name, weight in found]
    reasons = [reason for reason in reasons if reason.points]
    reasons.sort(key=lambda reason: (-reason.points, reason.term, reason.field))
    return ScoredNote(note_id, scores.total.get(note, 0), tuple(reasons))
