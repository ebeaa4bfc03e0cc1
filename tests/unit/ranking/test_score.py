"""Sums of stored weights: a total order, and reasons that add up."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.analysis.features import grams, word_features
from assistant.ranking.linear import FeatureRow, linear_points, sides_of
from assistant.ranking.postings import TermRow
from assistant.ranking.score import (
    FULL,
    MODEL_FIELD,
    NONE,
    Scores,
    best_chunks,
    explain,
    scaled,
    sum_up,
)

CHUNK_NOTE = (0, 0, 1, 1, 2, 3)
FIELDS = ("title", "steps")
WORDS = ("a", "ab", "b")
KNOWN = sorted({*word_features([*WORDS, "a", "a"]), *(gram for word in WORDS for gram in grams(word))})

rows_drawn = st.dictionaries(
    st.sampled_from("abcdef"),
    st.builds(
        TermRow.of,
        st.lists(
            st.tuples(st.integers(0, 5), st.integers(0, 500), st.integers(0, 1)), max_size=6, unique_by=lambda t: t[0]
        ),
    ),
    max_size=6,
)
terms_drawn = st.lists(st.tuples(st.sampled_from("abcdefg"), st.integers(1, FULL)), unique_by=lambda t: t[0])
model_drawn = st.dictionaries(st.integers(NONE, 3), st.integers(-3000, 3000))
shares = st.integers(0, 2000)
features_drawn = st.dictionaries(
    st.sampled_from(KNOWN),
    st.builds(
        FeatureRow.of,
        st.integers(0, 9000),
        st.lists(st.tuples(st.integers(NONE, 3), st.integers(-3000, 3000)), max_size=4, unique_by=lambda t: t[0]),
    ),
    max_size=20,
)
bias_drawn = st.fixed_dictionaries({number: st.integers(-2000, 2000) for number in range(NONE, 4)})
Terms = Sequence[tuple[str, int]]
Rows = dict[str, TermRow]


def scores_of(terms: Terms, rows: Rows, model: dict[int, int], share: int) -> Scores:
    return sum_up(best_chunks(terms, rows, CHUNK_NOTE), model, share)


@given(terms_drawn, rows_drawn, model_drawn, shares)
def test_order_is_total(terms: Terms, rows: Rows, model: dict[int, int], share: int) -> None:
    scores = scores_of(terms, rows, model, share)
    assert sorted(scores.order) == sorted(scores.total)
    keys = [(-scores.total[note], note) for note in scores.order]
    assert keys == sorted(keys)
    assert NONE not in scores.order
    assert scores.total.keys() == scores.chunk.keys() | (model.keys() - {NONE})


@given(
    st.lists(st.sampled_from(WORDS), max_size=12),
    features_drawn,
    bias_drawn,
    terms_drawn,
    rows_drawn,
    shares,
)
def test_reasons_add_up_to_the_score(
    words: list[str],
    features: dict[str, FeatureRow],
    bias: dict[int, int],
    terms: Terms,
    rows: Rows,
    share: int,
) -> None:
    sides = sides_of(words, features)
    model = linear_points(sides, features, bias)
    scores = scores_of(terms, rows, model, share)
    for note in scores.order:
        own = bias[note]
        explained = explain(note, f"note-{note}", terms, rows, scores, FIELDS, words, sides, features, own)
        assert explained.score == scores.total[note]
        assert sum(reason.points for reason in explained.reasons) == explained.score
        assert all(reason.points for reason in explained.reasons)
        points = [(-r.points, r.term, r.field) for r in explained.reasons]
        assert points == sorted(points)
        assert sum(r.points for r in explained.reasons if r.field == MODEL_FIELD) == model[note]
        assert [r.points for r in explained.reasons if not r.term] == ([own] if own else [])


@given(terms_drawn, rows_drawn)
def test_without_a_model_bm25f_ranks_alone(terms: Terms, rows: Rows) -> None:
    scores = scores_of(terms, rows, {}, 0)
    assert scores.total == {note: value for note, (value, _) in scores.chunk.items()}
    for note in scores.order:
        explained = explain(note, f"note-{note}", terms, rows, scores, FIELDS)
        assert sum(reason.points for reason in explained.reasons) == explained.score == scores.total[note]


@given(terms_drawn, rows_drawn, model_drawn, shares)
def test_order_of_the_terms_does_not_matter(terms: Terms, rows: Rows, model: dict[int, int], share: int) -> None:
    assert scores_of(terms, rows, model, share) == scores_of(list(reversed(terms)), rows, model, share)


@given(terms_drawn, rows_drawn)
def test_a_note_has_the_sum_of_its_best_chunk(terms: Terms, rows: Rows) -> None:
    best = best_chunks(terms, rows, CHUNK_NOTE)
    for note in range(4):
        sums = {}
        for chunk in (c for c, owner in enumerate(CHUNK_NOTE) if owner == note):
            held = [scaled(w, p) for t, p in terms if t in rows for c, w, _ in rows[t].chunks if c == chunk]
            if held:
                sums[chunk] = sum(held)
        if sums:
            top = max(sums.values())
            assert best[note] == (top, min(chunk for chunk, value in sums.items() if value == top))
        else:
            assert note not in best


def test_bm25f_brings_its_share_in_proportion_to_the_best_chunk_of_all() -> None:
    chunk = {0: (80, 1), 1: (40, 2), 2: (0, 4)}
    scores = sum_up(chunk, {0: -100, 1: 300, 3: 20, NONE: 900}, 500)
    assert scores.total == {0: -100 + 500, 1: 300 + 250, 2: 0, 3: 20}
    assert scores.order == [1, 0, 3, 2]
    assert sum_up(chunk, {0: -100, 1: 300}, 0).total == {0: -100, 1: 300, 2: 0}
    assert sum_up({0: (0, 0)}, {0: 7}, 500).total == {0: 7}


def test_of_equal_chunks_the_first_and_of_equal_notes_the_first() -> None:
    rows = {"a": TermRow.of([(0, 5, 0), (1, 5, 1), (2, 5, 0)])}
    scores = scores_of([("a", FULL)], rows, {}, 0)
    assert scores.order == [0, 1]
    assert scores.chunk == {0: (5, 0), 1: (5, 2)}
    assert sum_up({8: (5, 3), 1: (5, 4)}, {16: 0}, 0).order == [1, 8, 16]


def test_each_reason_names_its_word_and_field() -> None:
    terms = [("cap", FULL), ("torn", 50)]
    rows = {"cap": TermRow.of([(1, 40, 0), (2, 10, 1)]), "torn": TermRow.of([(1, 80, 1)])}
    features = {"cap": FeatureRow(1000, [0], [120]), "cap torn": FeatureRow(1000, [0], [-20])}
    words = ["cap", "torn"]
    sides = sides_of(words, features)
    scores = scores_of(terms, rows, linear_points(sides, features, {0: -30}), 400)
    explained = explain(0, "pad", terms, rows, scores, FIELDS, words, sides, features, -30)
    assert explained.id == "pad"
    assert explained.reasons == (
        ("cap", "title", 200),
        ("torn", "steps", 200),
        ("cap", MODEL_FIELD, 84),
        ("cap torn", MODEL_FIELD, -14),
        ("", MODEL_FIELD, -30),
    )
    assert explained.score == 200 + 200 + 84 - 14 - 30


def test_nothing_known() -> None:
    assert scores_of([("a", FULL)], {}, {}, 500) == ({}, [], {}, {}, 1, 1)


@pytest.mark.parametrize(
    ("weight", "percent", "points"), [(7, 50, 3), (-7, 50, -3), (7, 100, 7), (0, 90, 0), (-1, 99, 0)]
)
def test_scaled_rounds_towards_zero(weight: int, percent: int, points: int) -> None:
    assert scaled(weight, percent) == points
