"""Sums of stored weights: a total order, and reasons that add up."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.ranking.score import FULL, NONE, TermRow, explain, scaled, score_terms

CHUNK_NOTE = (0, 0, 1, 1, 2, 3)
EXAMPLE_NOTE = (0, 1, -1, 2)
FIELDS = ("title", "steps")

row = st.builds(
    TermRow,
    st.integers(0, 8000),
    st.lists(
        st.tuples(st.integers(0, 5), st.integers(0, 500), st.integers(0, 1)), max_size=6, unique_by=lambda t: t[0]
    ),
    st.lists(st.tuples(st.integers(-2, 3), st.integers(-300, 900)), max_size=5, unique_by=lambda t: t[0]),
    st.lists(st.tuples(st.integers(0, 3), st.integers(0, 1000)), max_size=4, unique_by=lambda t: t[0]),
)
rows_drawn = st.dictionaries(st.sampled_from("abcdef"), row, max_size=6)
terms_drawn = st.lists(st.tuples(st.sampled_from("abcdefg"), st.integers(1, FULL)), unique_by=lambda t: t[0])
Terms = Sequence[tuple[str, int]]
Rows = dict[str, TermRow]


@given(terms_drawn, rows_drawn)
def test_order_is_total(terms: Terms, rows: Rows) -> None:
    scores = score_terms(terms, rows, CHUNK_NOTE, EXAMPLE_NOTE)
    assert sorted(scores.order) == sorted(scores.total)
    keys = [(-scores.total[note], note) for note in scores.order]
    assert keys == sorted(keys)
    assert NONE not in scores.order


@given(terms_drawn, rows_drawn)
def test_reasons_add_up_to_the_score(terms: Terms, rows: Rows) -> None:
    scores = score_terms(terms, rows, CHUNK_NOTE, EXAMPLE_NOTE)
    for note in scores.order:
        explained = explain(note, f"note-{note}", terms, rows, scores, FIELDS)
        assert explained.score == scores.total[note]
        assert sum(reason.points for reason in explained.reasons) == explained.score
        assert all(reason.points for reason in explained.reasons)
        points = [(-r.points, r.term, r.field) for r in explained.reasons]
        assert points == sorted(points)


@given(terms_drawn, rows_drawn)
def test_order_of_the_terms_does_not_matter(terms: Terms, rows: Rows) -> None:
    forward = score_terms(terms, rows, CHUNK_NOTE, EXAMPLE_NOTE)
    backward = score_terms(list(reversed(terms)), rows, CHUNK_NOTE, EXAMPLE_NOTE)
    assert forward == backward


@given(terms_drawn, rows_drawn)
def test_score_is_the_best_chunk_and_the_learned_weights(terms: Terms, rows: Rows) -> None:
    scores = score_terms(terms, rows, CHUNK_NOTE, EXAMPLE_NOTE)
    for note in scores.order:
        sums = []
        for chunk in (c for c, owner in enumerate(CHUNK_NOTE) if owner == note):
            held = [scaled(w, p) for t, p in terms if t in rows for c, w, _ in rows[t].chunks if c == chunk]
            sums += [sum(held)] if held else []
        learned = sum(scaled(w, p) for t, p in terms if t in rows for n, w in rows[t].learned if n == note)
        assert scores.total[note] == max(sums, default=0) + learned


def test_of_equal_chunks_the_first_and_of_equal_notes_the_first() -> None:
    rows = {"a": TermRow(1000, [(0, 5, 0), (1, 5, 1), (2, 5, 0)])}
    scores = score_terms([("a", FULL)], rows, CHUNK_NOTE, EXAMPLE_NOTE)
    assert scores.order == [0, 1]
    assert scores.chunk == {0: (5, 0), 1: (5, 2)}


def test_example_cosine_is_in_thousandths() -> None:
    rows = {"a": TermRow(3000, (), (), [(0, 600), (2, 1000)]), "b": TermRow(4000, (), (), [(0, 800)])}
    scores = score_terms([("a", FULL), ("b", FULL)], rows, CHUNK_NOTE, EXAMPLE_NOTE)
    assert scores.example == {0: (1000, 0), NONE: (600, 2)}


def test_nothing_known() -> None:
    scores = score_terms([("a", FULL)], {}, CHUNK_NOTE, EXAMPLE_NOTE)
    assert (scores.total, list(scores.order), scores.chunk, scores.learned, scores.example) == ({}, [], {}, {}, {})


@pytest.mark.parametrize(
    ("weight", "percent", "points"), [(7, 50, 3), (-7, 50, -3), (7, 100, 7), (0, 90, 0), (-1, 99, 0)]
)
def test_scaled_rounds_towards_zero(weight: int, percent: int, points: int) -> None:
    assert scaled(weight, percent) == points
