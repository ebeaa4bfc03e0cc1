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

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import partial
from heapq import heappush, heappushpop
from itertools import accumulate, pairwise

from assistant.ranking.postings import FULL, Part, TermRow
from assistant.ranking.score import NONE, OnDemand, Scores, best_by_note, best_chunks, best_held

__all__ = ["first_scores", "highest_sums"]

_MANY = 4
"""Times as many chunks as are asked for; of more, the likeliest are added up before the others."""
_SCANNED = 8
"""Postings of a list that are read through while one is looked up."""
Terms = Sequence[tuple[str, int]]


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

    def heavy(self, least: int) -> dict[int, int]:
        """Return what the term brings each chunk to which it brings ``least`` or more."""
        row, percent = self.row, self.percent
        weight = -(-least * FULL // percent)
        found: dict[int, int] = {}
        for part in row.read([number for number, top in enumerate(row.tops) if top >= weight]):
            for chunks, weights in part.heavy(weight):
                found.update(zip(chunks, weights, strict=True))
        return found if percent == FULL else {chunk: held * percent // FULL for chunk, held in found.items()}

    def add(self, sums: dict[int, int], least: int) -> dict[int, int]:
        """Return the sums of chunks with what the term brings to each, of those that then have ``least`` or more.

        ``sums`` is not to be used any more.
        """
        if not sums:
            return {}
        percent, highest = self.percent, max(sums.values())
        found: dict[int, int] = sums if least <= 0 else {}
        if 0 < least <= highest:
            found = {chunk: value for chunk, value in sums.items() if value >= least}
        for part, chunks in self._parts_of(sums, (least - highest) * FULL // percent):
            numbers, weights, end, place = part.chunks, part.weights, len(part.chunks), 0
            for chunk in chunks:
                place = bisect_left(numbers, chunk, place)
                if place == end:
                    break
                if numbers[place] == chunk:
                    value = sums[chunk] + weights[place] * percent // FULL
                    if value >= least:
                        found[chunk] = value
        return found

    def _parts_of(self, sums: Mapping[int, int], least: int) -> Iterator[tuple[Part, Iterable[int]]]:
        """Yield parts that may weigh ``least`` or more, each with chunks of ``sums`` that may stand in it, in order."""
        first, tops, read = self.row.first, self.row.tops, self.row.read
        if len(sums) * _SCANNED > self.row.count:
            for part in read([number for number, top in enumerate(tops) if top >= least]):
                yield part, filter(sums.__contains__, part.chunks)
            return
        listed = sorted(sums)
        at, end = bisect_left(listed, first[0]), len(listed)
        asked: dict[int, list[int]] = {}
        while at < end:
            number = bisect_right(first, listed[at]) - 1
            after = bisect_left(listed, first[number + 1], at) if number + 1 < len(first) else end
            if tops[number] >= least:
                asked[number] = listed[at:after]
            at = after
        yield from zip(read([*asked]), asked.values(), strict=True)


def highest_sums(terms: Terms, rows: Mapping[str, TermRow], count: int) -> dict[int, int]:
    """Return the sums of the ``count`` chunks that have most, of equal sums the lower number; all where they are fewer.

    Parameters
    ----------
    terms
        (term, weight in percent), each term once.
    count
        One or more.
    """
    lists = [_List(rows[term], percent) for term, percent in terms if term in rows and rows[term].count]
    lists.sort(key=lambda each: (-each.bound, each.row.count))
    rest = list(accumulate((each.bound for each in reversed(lists)), initial=0))[::-1]
    front = _Front(lists, rest, count)
    for place, each in enumerate(lists):
        if rest[place] < front.bar:
            break
        new = each.heavy(front.bar - rest[place + 1])
        for chunk in new.keys() & front.best.keys():
            del new[chunk]
        front.finish(new, place + 1)
    return front.best


class _Front:
    """The chunks that have most of those whose sums are known, and the bar that others have to reach.

    Parameters
    ----------
    rest
        For each place in ``lists`` the most that the lists from there on bring together.
    """

    def __init__(self, lists: Sequence[_List], rest: Sequence[int], count: int) -> None:
        self._lists = lists
        self._rest = rest
        self._count = count
        self.best: dict[int, int] = {}
        self.bar = -1

    def finish(self, sums: dict[int, int], place: int) -> None:
        """Add what the lists from ``place`` on bring to chunks, as long as these can come among the first."""
        for left in range(place, len(self._lists)):
            if (place, left) == (1, 2) and len(sums) > _MANY * self._count:
                self._lead(sums, left)
            sums = self._lists[left].add(sums, self.bar - self._rest[left + 1])
        if self.bar > 0:
            sums = {chunk: value for chunk, value in sums.items() if value >= self.bar}
        best = {**self.best, **sums}
        if len(best) > self._count:
            best = dict(sorted(best.items(), key=lambda held: (-held[1], held[0]))[: self._count])
        self.best = best
        if len(best) == self._count:
            self.bar = min(best.values())

    def _lead(self, sums: dict[int, int], place: int) -> None:
        """Finish those that lead: they set the bar for the others."""
        least = sorted(sums.values())[-self._count]
        ahead = [chunk for chunk, value in sums.items() if value >= least][: self._count]
        self.finish({chunk: sums.pop(chunk) for chunk in ahead}, place)


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
    best_of = partial(best_held, terms, rows, first)
    if model:
        top = max(highest_sums(terms, rows, 1).values(), default=0)
        held = [rows[term].count for term, _ in terms if term in rows]
        many = sum(held) // (_SCANNED * len(held)) if held else len(model)
        return _first_of_model(model, share, count, top, best_of, partial(_best_of_all, terms, rows, first), many)
    sums = highest_sums(terms, rows, (count - 1) * longest + 1)
    chunk = OnDemand(best_by_note(sums, {chunk: bisect_right(first, chunk) - 1 for chunk in sums}), best_of)

    def total_of(note: int) -> int | None:
        held = chunk.get(note)
        return held[0] if held else None

    total: OnDemand[int] = OnDemand({}, total_of)
    order = sorted(chunk, key=lambda note: (-chunk[note][0], note))[:count]
    return Scores(total, order, chunk, model)


def _best_of_all(terms: Terms, rows: Mapping[str, TermRow], first: Sequence[int]) -> dict[int, tuple[int, int]]:
    """Return (sum, number) of the best chunk of every note that has one, by reading all postings."""
    return best_chunks(terms, rows, [note for note, ends in enumerate(pairwise(first)) for _ in range(*ends)])


def _first_of_model(
    model: Mapping[int, int],
    share: int,
    count: int,
    top: int,
    best_of: Callable[[int], tuple[int, int] | None],
    best_of_all: Callable[[], dict[int, tuple[int, int]]],
    many: int,
) -> Scores:
    """Return the scores of the first notes, looking for the best chunks of those alone that can come among them.

    Parameters
    ----------
    top
        What the best chunk of all has.
    best_of
        Returns (sum, number) of the best chunk of a note, None where no chunk of it holds a term.
    best_of_all
        Returns the same of all notes at once, which is sooner done for more than ``many``.
    """
    divisor = top or 1
    chunk: OnDemand[tuple[int, int]] = OnDemand({}, best_of)

    def total_of(note: int) -> int | None:
        held = chunk.get(note)
        points = model.get(note) if note != NONE else None
        return points if held is None else (points or 0) + share * held[0] // divisor

    total: OnDemand[int] = OnDemand({}, total_of)
    ahead: list[int] = []
    ranked = sorted(((note, points) for note, points in model.items() if note != NONE), key=lambda held: -held[1])
    for place, (note, points) in enumerate(ranked):
        if len(ahead) == count and points + share < ahead[0]:
            break  # no share makes up for more than there is of it
        if place == count and sum(other + share >= ahead[0] for _, other in ranked[count:]) > many:
            chunk = OnDemand(best_of_all(), lambda _: None)
        (heappush if len(ahead) < count else heappushpop)(ahead, total[note])
    order = sorted(total, key=lambda note: (-total[note], note))[:count]
    return Scores(total, order, chunk, model, share, divisor)
