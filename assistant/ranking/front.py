"""The first notes of very many, without adding up what cannot come among them.

Terms are taken in the order of the most that each can bring. Once those that are left cannot bring a chunk among the
first, they are only looked up for the chunks that still can; of a term before that, runs of postings that are too
light are passed over. What is left out is proved to stand behind, so that the first notes, their points and reasons are
those of the whole sum.

Source
------
Turtle and Flood, Query evaluation: strategies and optimizations, Information Processing and Management 31(6), 1995
(MaxScore), and Ding and Suel, Faster top-k document retrieval using block-max indexes, SIGIR 2011 (both from memory).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from heapq import nlargest

from assistant.ranking.linear import quotient
from assistant.ranking.postings import RUN, TermRow
from assistant.ranking.score import FULL, NONE, Scores, best_by_note

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import TypeVar

    V = TypeVar("V")

__all__ = ["OnDemand", "first_scores", "highest_sums"]

_SCANNED = 8
"""Postings of a list that are read through while one is looked up."""
Terms = Sequence[tuple[str, int]]


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


class _List:
    """The postings of one term of a question, weighed in percent."""

    def __init__(self, row: TermRow, percent: int) -> None:
        self.row = row
        self.percent = percent
        self.bound = row.top * percent // FULL

    def weight(self, chunk: int) -> int:
        """Return what the term brings a chunk."""
        held = self.row.at(chunk)
        return held[0] * self.percent // FULL if held else 0

    def runs(self, least: int) -> Iterator[tuple[Sequence[int], Sequence[int]]]:
        """Yield chunks and weights of the runs in which one may bring ``least``."""
        row, percent = self.row, self.percent
        for number, top in enumerate(row.tops):
            if top * percent // FULL < least:
                continue
            part = row.read(number)
            if min(part.tops) * percent // FULL >= least:
                yield part.chunks, part.weights
                continue
            for run, highest in enumerate(part.tops):
                if highest * percent // FULL >= least:
                    at = run * RUN
                    yield part.chunks[at : at + RUN], part.weights[at : at + RUN]

    def add_to(self, sums: dict[int, int]) -> None:
        """Add what the term brings to the chunks that are held."""
        percent = self.percent
        if len(sums) * _SCANNED < self.row.count:
            for chunk in sums:
                sums[chunk] += self.weight(chunk)
            return
        for part in self.row.parts():
            for chunk, weight in zip(part.chunks, part.weights, strict=True):
                if chunk in sums:
                    sums[chunk] += weight * percent // FULL


def highest_sums(terms: Terms, rows: Mapping[str, TermRow], count: int) -> dict[int, int]:
    """Return the sum of each chunk that has as much as the one at place ``count``, of all where they are fewer.

    Parameters
    ----------
    terms
        (term, weight in percent), each term once.
    count
        One or more.
    """
    lists = [_List(rows[term], percent) for term, percent in terms if term in rows and rows[term].count]
    lists.sort(key=lambda each: (-each.bound, each.row.count))
    rest = [0]
    for each in reversed(lists):
        rest.append(rest[-1] + each.bound)
    rest.reverse()
    sums: dict[int, int] = {}
    bar = -1
    for place, each in enumerate(lists):
        sums = {chunk: value for chunk, value in sums.items() if value + rest[place] >= bar}
        new: dict[int, int] = {}
        if rest[place] >= bar:
            least, percent = bar - rest[place + 1], each.percent
            for chunks, weights in each.runs(least):
                new.update(
                    (chunk, value)
                    for chunk, weight in zip(chunks, weights, strict=True)
                    if (value := weight * percent // FULL) >= least and chunk not in sums
                )
        each.add_to(sums)
        sums |= new
        if len(sums) >= count:
            bar = max(bar, _bar(sums, lists[place + 1 :], count))
    return {chunk: value for chunk, value in sums.items() if value >= bar}


def _bar(sums: Mapping[int, int], left: Sequence[_List], count: int) -> int:
    """Return a sum that ``count`` chunks have at least: what those that lead now have of all terms."""
    least = nlargest(count, sums.values())[-1]
    ahead = [chunk for chunk, value in sums.items() if value >= least][:count]
    return min(sums[chunk] + sum(each.weight(chunk) for each in left) for chunk in ahead)


def first_scores(
    terms: Terms,
    rows: Mapping[str, TermRow],
    first: Sequence[int],
    longest: int,
    model: Mapping[int, int],
    share: int,
    count: int,
) -> Scores:
    """Return the scores of the first ``count`` notes; see `assistant.ranking.score.sum_up`.

    Parameters
    ----------
    first
        The first chunk of each note, and at the end how many chunks there are.
    longest
        How many chunks a note has at most.
    model
        The points of every note, and of `NONE` where there is such a class; nothing where BM25F ranks alone.
    share
        Not below 0.
    """

    def best_of(note: int) -> tuple[int, int] | None:
        if not 0 <= note < len(first) - 1:
            return None
        best: tuple[int, int] | None = None
        for chunk in range(first[note], first[note + 1]):
            held = [
                (row[0] * percent // FULL) for term, percent in terms if term in rows and (row := rows[term].at(chunk))
            ]
            if held and (best is None or sum(held) > best[0]):
                best = (sum(held), chunk)
        return best

    if model:
        notes = _in_front(model, share, count)
        top = max(highest_sums(terms, rows, 1).values(), default=0)
        factor, divisor = share, top or 1
        best = {note: held for note in notes if (held := best_of(note))}
    else:
        sums = highest_sums(terms, rows, (count - 1) * longest + 1)
        best = best_by_note(sums, {chunk: bisect_right(first, chunk) - 1 for chunk in sums})
        notes, factor, divisor = list(best), 1, 1
    chunk: OnDemand[tuple[int, int]] = OnDemand(best, best_of)

    def total_of(note: int) -> int | None:
        held = chunk.get(note)
        if held is None and note not in model:
            return None
        return model.get(note, 0) + quotient(factor * (held[0] if held else 0), divisor)

    total: OnDemand[int] = OnDemand({}, total_of)
    order = sorted(notes, key=lambda note: (-total[note], note))[:count]
    return Scores(total, order, chunk, model, factor, divisor)


def _in_front(model: Mapping[int, int], share: int, count: int) -> list[int]:
    """Return the notes that can come among the first: no share makes up for more than there is of it."""
    points = nlargest(count, (value for note, value in model.items() if note != NONE))
    least = points[-1] - share if points else 0
    return [note for note, value in model.items() if note != NONE and value >= least]
