"""The first notes of very many: the same as by adding up everything."""

from __future__ import annotations

from array import array
from bisect import bisect_right
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import accumulate, pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ranking import postings
from assistant.ranking.front import first_scores, highest_sums
from assistant.ranking.postings import Part, TermRow
from assistant.ranking.score import FULL, NONE, best_chunks, chunk_sums, explain, first_of_sums, scaled, sum_up

FIELDS = ("title", "steps")
Held = Mapping[str, Mapping[int, tuple[int, int]]]
Terms = Sequence[tuple[str, int]]


@pytest.fixture(autouse=True, scope="module", params=[(1, 1), (4, 2), (4096, 128)])
def small_parts(request: pytest.FixtureRequest) -> Iterator[None]:
    """Lists of a few postings are cut as long ones are."""
    with pytest.MonkeyPatch.context() as patch:
        part, run = request.param
        patch.setattr(postings, "PART", part)
        patch.setattr(postings, "RUN", run)
        yield


@st.composite
def corpora(draw: st.DrawFn) -> tuple[list[int], Held]:
    """Return the first chunk of each note with the count of all, and weight and field by term and chunk."""
    sizes = draw(st.lists(st.integers(0, 3), min_size=1, max_size=12))
    first = [0, *accumulate(sizes)]
    chunks = st.integers(0, first[-1] - 1) if first[-1] else st.nothing()
    weight = st.tuples(st.integers(0, 9) | st.integers(0, 2000), st.integers(0, 1))
    held = draw(
        st.dictionaries(
            st.sampled_from("abcdef"), st.dictionaries(chunks, weight, max_size=30 if first[-1] else 0), max_size=6
        )
    )
    return first, held


terms_drawn = st.lists(st.tuples(st.sampled_from("abcdefg"), st.integers(1, FULL)), unique_by=lambda t: t[0])
counts = st.integers(1, 6)


def rows_of(held: Held) -> dict[str, TermRow]:
    return {term: TermRow.of((chunk, *of) for chunk, of in chunks.items()) for term, chunks in held.items()}


def sums_of(terms: Terms, held: Held) -> dict[int, int]:
    """Return the sum of every chunk that holds a term, in the plainest way."""
    sums: dict[int, int] = {}
    for term, percent in terms:
        for chunk, (weight, _) in held.get(term, {}).items():
            sums[chunk] = sums.get(chunk, 0) + scaled(weight, percent)
    return sums


def highest_of(sums: Mapping[int, int], count: int) -> dict[int, int]:
    return dict(sorted(sums.items(), key=lambda held: (-held[1], held[0]))[:count])


def owner_of(first: Sequence[int]) -> list[int]:
    return [bisect_right(first, chunk) - 1 for chunk in range(first[-1])]


@given(
    st.lists(st.integers(0, 2**18) | st.integers(0, 2**32 - 1), max_size=9),
    st.integers(1, 2**18) | st.integers(1, 2**32 - 1),
    st.booleans(),
)
def test_a_part_tells_whether_its_chunks_are_below_an_end(chunks: list[int], end: int, near: bool) -> None:
    if near and chunks:
        end = max(max(chunks), 1)
    part = Part(array("I", chunks), array("H", bytes(2 * len(chunks))), bytes(len(chunks)))
    assert part.below(end) == all(chunk < end for chunk in chunks)
    assert part.below(end + 1) == all(chunk <= end for chunk in chunks)


@given(corpora(), terms_drawn, counts)
def test_the_highest_sums_are_those_of_all(corpus: tuple[list[int], Held], terms: Terms, count: int) -> None:
    assert highest_sums(terms, rows_of(corpus[1]), count) == highest_of(sums_of(terms, corpus[1]), count)


@given(corpora(), terms_drawn)
def test_long_and_short_rows_add_up_to_the_sums_of_all(corpus: tuple[list[int], Held], terms: Terms) -> None:
    first, held = corpus
    whole, rows = sums_of(terms, held), rows_of(held)
    for _ in range(2):  # the second time from what was kept of the first
        assert chunk_sums(terms, rows, first[-1]) == [whole.get(chunk, 0) for chunk in range(first[-1])]


@st.composite
def models(draw: st.DrawFn) -> tuple[list[int], Held, dict[int, int]]:
    """Return a corpus with points for every note, or for none."""
    first, held = draw(corpora())
    points = st.integers(-3000, 3000) | st.integers(-9, 9)
    classes = range(NONE, len(first) - 1)
    return first, held, draw(st.just({}) | st.fixed_dictionaries(dict.fromkeys(classes, points)))


@given(models(), terms_drawn, st.integers(0, 2000), counts)
def test_the_first_notes_are_those_of_the_whole_sum_with_all_that_is_asked_of_them(
    drawn: tuple[list[int], Held, dict[int, int]], terms: Terms, share: int, count: int
) -> None:
    first, held, model = drawn
    rows = rows_of(held)
    longest = max(b - a for a, b in pairwise(first))
    whole = sum_up(best_chunks(terms, rows, owner_of(first)), model, share)
    ways = [first_scores(terms, rows, first, max(longest, 1), model, share, count)]
    if model:
        ways.append(first_of_sums(terms, rows, first, model, share, count))
    for front in ways:
        assert list(front.order) == list(whole.order[:count])
        assert (front.model, front.factor, front.divisor) == (whole.model, whole.factor, whole.divisor)
        for note in range(len(first) - 1):
            assert front.total.get(note, 0) == whole.total.get(note, 0)
            assert front.chunk.get(note) == whole.chunk.get(note)
            told = [explain(note, "id", terms, rows, scores, FIELDS) for scores in (front, whole)]
            assert told[0] == told[1]
        for note in front.order:
            assert front.total[note] == whole.total[note]


def test_what_no_note_has_is_not_found() -> None:
    front = first_scores([("a", FULL)], {"a": TermRow.of([(0, 5, 0)])}, [0, 1, 2], 1, {}, 0, 5)
    assert (list(front.order), front.total[0], front.total.get(1), front.chunk.get(1)) == ([0], 5, None, None)
    assert front.total.get(7) is None
    with pytest.raises(KeyError):
        front.total[1]


def test_of_long_lists_most_is_not_read() -> None:
    """A rare word that leads keeps the common ones from being read through; nothing of the answer changes."""
    drawn = Random(7)
    size = 60_000
    held: dict[str, dict[int, tuple[int, int]]] = {
        "common": {chunk: (drawn.randrange(1, 60), 0) for chunk in range(size) if drawn.random() < 0.7},
        "known": {chunk: (drawn.randrange(80, 160), 0) for chunk in range(size) if drawn.random() < 0.05},
        "rare": {chunk: (drawn.randrange(600, 900), 0) for chunk in range(0, size, 1500)},
    }
    rows = rows_of(held)
    read: list[int] = []
    for row in rows.values():
        whole = row.read

        def counted(numbers: Sequence[int], whole: Callable[[Sequence[int]], Sequence[Part]] = whole) -> Sequence[Part]:
            read.extend(numbers)
            return whole(numbers)

        row.read = counted
    terms = [("common", FULL), ("known", 90), ("rare", FULL)]
    found = highest_sums(terms, rows, 5)
    postings_in_all = sum(map(len, held.values()))
    if postings.PART > 100:
        assert len(read) < 400
    assert found == highest_of(sums_of(terms, held), 5)
    assert postings_in_all > 40_000
