"""Scoring: stored integer weights, summed in a total order.

A note's score is what the linear model gives it, plus a share of the BM25F of its best chunk: that chunk's part of what
the best chunk of all has. Where no model is stored (documents without examples) BM25F ranks alone.
"""

from __future__ import annotations

import sys
from array import array
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from assistant.model import Reason, ScoredNote
from assistant.ranking.linear import FeatureRow, Side, WordRow, quotient, word_points
from assistant.ranking.postings import FULL, LANE, LANE_BYTES, TermRow
from assistant.values import NamedTuple

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TypeVar

    V = TypeVar("V")

__all__ = [
    "FULL",
    "NONE",
    "OnDemand",
    "Scores",
    "best_by_note",
    "best_chunks",
    "best_held",
    "chunk_sums",
    "explain",
    "first_of_sums",
    "scaled",
    "sum_up",
]

Terms = Sequence[tuple[str, int]]
"""Terms of a question, each once, with its weight in percent."""
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


class OnDemand(dict[int, "V"]):
    """What is known by note, and what is found when a note is asked for.

    Parameters
    ----------
    found
        What is known.
    find
        Returns what there is of another note, None where there is nothing.
    """

    def __init__(self, found: Mapping[int, V], find: Callable[[int], V | None]) -> None:
        super().__init__(found)
        self._find = find

    def __missing__(self, note: int) -> V:
        value = self._find(note)
        if value is None:
            raise KeyError(note)
        self[note] = value
        return value

    def get(self, note: int, default: V | None = None) -> V | None:  # type: ignore[override]
        """Return what there is of a note, ``default`` where there is nothing."""
        try:
            return self[note]
        except KeyError:
            return default


def best_chunks(terms: Terms, rows: Mapping[str, TermRow], chunk_note: Sequence[int]) -> dict[int, tuple[int, int]]:
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


def chunk_sums(terms: Terms, rows: Mapping[str, TermRow], size: int) -> list[int]:
    """Return the sum of each of ``size`` chunks, 0 where none of the terms stands: long rows are added up as lanes."""
    lanes = 0
    content = bytearray(LANE_BYTES * size)
    sums = memoryview(content).cast(LANE)
    for term, percent in terms:
        row = rows.get(term)
        if row is None:
            continue
        if row.is_long(size):
            lanes += row.lanes(percent, size)
            continue
        for part in row.parts():
            for number, weight in zip(part.chunks, part.weights, strict=True):
                sums[number] += weight * percent // FULL
    lanes += int.from_bytes(content, sys.byteorder)
    return array(LANE, lanes.to_bytes(LANE_BYTES * size, sys.byteorder)).tolist()


def first_of_sums(
    terms: Terms, rows: Mapping[str, TermRow], first: Sequence[int], model: Mapping[int, int], share: int, count: int
) -> Scores:
    """Return the scores of the first ``count`` notes as `sum_up` does, of so few chunks that all sums are soon known.

    Parameters
    ----------
    first
        The first chunk of each note, and at the end how many chunks there are.
    model
        The points of every note, and of `NONE` where there is such a class.
    share
        Not below 0.
    """
    sums = chunk_sums(terms, rows, first[-1])
    best = [max(sums[start:end]) if start < end else 0 for start, end in pairwise(first)]
    divisor = max(best, default=0) or 1
    total = {note: model[note] + share * value // divisor for note, value in enumerate(best)}
    least = sorted(total.values(), reverse=True)[:count]
    ahead = [note for note, value in total.items() if value >= least[-1]]  # in the order of their numbers
    order = sorted(ahead, key=total.__getitem__, reverse=True)[:count]

    def best_of(note: int) -> tuple[int, int] | None:
        if note in total and best[note]:
            return best[note], sums.index(best[note], first[note])
        return best_held(terms, rows, first, note)

    return Scores(total, order, OnDemand({}, best_of), model, share, divisor)


def best_held(terms: Terms, rows: Mapping[str, TermRow], first: Sequence[int], note: int) -> tuple[int, int] | None:
    """Return (sum, number) of the best chunk of a note by looking its chunks up, None where none holds a term."""
    if not 0 <= note < len(first) - 1:
        return None
    best: tuple[int, int] | None = None
    for chunk in range(first[note], first[note + 1]):
        held = [row[0] * percent // FULL for term, percent in terms if term in rows and (row := rows[term].at(chunk))]
        if held and (best is None or sum(held) > best[0]):
            best = sum(held), chunk
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
    terms: Terms,
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
