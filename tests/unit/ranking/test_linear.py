"""Points of stored whole numbers against scikit-learn, and what single words bring of them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import hstack
from sklearn.feature_extraction.text import TfidfVectorizer
from sklearn.svm import LinearSVC

from assistant.analysis.features import grams, word_features
from assistant.analysis.tokens import tokenize
from assistant.ranking.linear import (
    UNIT,
    FeatureRow,
    Side,
    WordRow,
    linear_points,
    quotient,
    runs_needed,
    sides_of,
    word_points,
)

LINES = {
    "stick cap torn": 0,
    "the rubber on the stick is torn": 0,
    "thumb grip came off": 0,
    "cap of the stick is gone": 0,
    "screen says no signal": 1,
    "no picture on the screen": 1,
    "display has no input": 1,
    "blue screen and no picture": 1,
    "when do i get paid": -1,
    "sing me a song": -1,
    "swap my shift on the rota": -1,
}
QUESTIONS = (
    "stick cap is torn",
    "no picture",
    "torn torn torn screen screen",
    "sing no song on the stick",
    "thumbs grips",
    "input " * 64 + "song",
    "qqqq",
)


def of_grams(text: str) -> list[str]:
    return [gram for word in tokenize(text) for gram in grams(word)]


def of_words(text: str) -> list[str]:
    return word_features(tokenize(text))


class Reference:
    """scikit-learn's own TF-IDF and support vector machines, in floating point."""

    def __init__(self) -> None:
        self.sides = [TfidfVectorizer(analyzer=of, sublinear_tf=True) for of in (of_words, of_grams)]
        matrix = hstack([side.fit_transform(LINES) for side in self.sides], format="csr")
        self.models = {
            number: LinearSVC(random_state=0).fit(matrix, [owner == number for owner in LINES.values()])
            for number in (-1, 0, 1)
        }

    def points(self, text: str) -> dict[int, float]:
        row = hstack([side.transform([text]) for side in self.sides], format="csr")
        return {number: UNIT * float(model.decision_function(row)[0]) for number, model in self.models.items()}

    def stored(self) -> tuple[dict[str, FeatureRow], dict[int, int]]:
        names = [name for side in self.sides for name in side.get_feature_names_out()]
        idf = np.concatenate([side.idf_ for side in self.sides])
        rows = {
            name: FeatureRow.of(
                round(UNIT * idf[column]),
                [(number, round(UNIT * model.coef_[0][column])) for number, model in self.models.items()],
            )
            for column, name in enumerate(names)
        }
        return rows, {number: round(UNIT * model.intercept_[0]) for number, model in self.models.items()}


@pytest.fixture(scope="module")
def reference() -> Reference:
    return Reference()


@pytest.mark.parametrize("question", QUESTIONS)
def test_points_are_those_of_scikit_learn_within_rounding(reference: Reference, question: str) -> None:
    """A weight is rounded to a thousandth; over two sides of length 1 that is half a point a feature at most."""
    rows, bias = reference.stored()
    points = linear_points(sides_of(tokenize(question), rows), rows, bias)
    assert points == pytest.approx(reference.points(question), abs=4)


def test_the_classes_differ_by_more_than_rounding(reference: Reference) -> None:
    points = reference.points("stick cap is torn")
    assert points[0] - max(points[1], points[-1]) > 100


def test_a_word_that_stands_more_than_64_times_counts_64_times(reference: Reference) -> None:
    rows, bias = reference.stored()

    def points(count: int) -> dict[int, int]:
        return linear_points(sides_of(["song", *["input"] * count], rows), rows, bias)

    def value(count: int) -> int:
        return dict(sides_of(["input"] * count, rows)[0].values)["input"]

    assert value(1000) == value(65) == value(64) > value(63) > value(2) > value(1) == rows["input"].idf
    assert value(64) == pytest.approx(rows["input"].idf * (1 + math.log(64)), abs=3)
    assert points(200) == points(66) != bias


def test_each_side_is_a_vector_of_length_one_in_whole_numbers() -> None:
    rows = {"a": FeatureRow(3000, [0], [1000]), "b": FeatureRow(4000, [0], [1000]), "~ a": FeatureRow(2000, [0], [500])}
    words, runs = sides_of(["a", "b", "c"], rows)
    assert words == Side((("a", 3000), ("b", 4000)), 5000)
    assert runs == Side((("~ a", 2000),), 2000)
    assert linear_points((words, runs), rows, {0: 7, 1: -3}) == {0: 7 + 1400 + 500, 1: -3}


def test_what_has_no_row_counts_for_nothing() -> None:
    sides = sides_of(["a", "b"], {})
    assert [side.values for side in sides] == [(), ()]
    assert linear_points(sides, {}, {0: 5}) == {0: 5}
    assert linear_points(sides_of([], {"a": FeatureRow(1, [])}), {}, {}) == {}


@pytest.mark.parametrize(("part", "whole", "expected"), [(7, 2, 3), (-7, 2, -3), (-1, 9, 0), (0, 3, 0), (-8, 2, -4)])
def test_quotient_rounds_towards_zero(part: int, whole: int, expected: int) -> None:
    assert quotient(part, whole) == expected


WORDS = ("a", "ab", "abc", "tv", "no")
KNOWN = sorted({feature for word in WORDS for feature in (*grams(word), *(f"{word} {other}" for other in WORDS), word)})
weights = st.lists(st.tuples(st.integers(-1, 3), st.integers(-3000, 3000)), max_size=5, unique_by=lambda pair: pair[0])
rows_drawn = st.dictionaries(
    st.sampled_from(KNOWN), st.builds(FeatureRow.of, st.integers(0, 9000), weights), max_size=40
)


@given(
    st.lists(st.sampled_from((*WORDS, "zz")), max_size=80),
    rows_drawn,
    st.fixed_dictionaries({number: st.integers(-2000, 2000) for number in range(-1, 4)}),
)
def test_words_and_pairs_add_up_to_the_points_of_every_class(
    words: Sequence[str], rows: dict[str, FeatureRow], bias: dict[int, int]
) -> None:
    sides = sides_of(words, rows)
    points = linear_points(sides, rows, bias)
    assert points.keys() == bias.keys()
    for number in bias:
        brought = word_points(words, sides, rows, number)
        assert bias[number] + sum(share for _, share in brought) == points[number]
        named = [word for word, _ in brought]
        assert len(set(named)) == len(named)
        assert set(named) <= set(word_features(words))


@given(
    st.lists(st.sampled_from((*WORDS, "zz", "aaa")), max_size=80),
    rows_drawn,
    st.fixed_dictionaries({number: st.integers(-2000, 2000) for number in range(-1, 4)}),
)
def test_words_weighed_as_a_whole_bring_the_same(
    words: Sequence[str], rows: dict[str, FeatureRow], bias: dict[int, int]
) -> None:
    size = len(bias)
    weighed = {word: WordRow(word, rows, size) for word in words}
    needed = {feature: rows[feature] for feature in runs_needed(words, weighed)}
    needed |= {feature: row for feature, row in rows.items() if not feature.startswith("~")}
    plain, whole = sides_of(words, rows), sides_of(words, needed, weighed)
    assert [side.length for side in plain] == [side.length for side in whole]
    assert [side.empty for side in plain] == [side.empty for side in whole]
    points = linear_points(plain, rows, bias)
    assert linear_points(whole, needed, bias) == points
    assert linear_points(whole, needed, bias, (2, -1, 9)) == {2: points[2], -1: points[-1]}
    for number in bias:
        told = [pair for pair in word_points(words, whole, needed, number, weighed) if pair[1]]
        assert told == [pair for pair in word_points(words, plain, rows, number) if pair[1]]


def test_a_word_weighs_what_its_runs_do() -> None:
    rows = {"~ca": FeatureRow(2, [-1, 0], [5, -7]), "~ca2": FeatureRow(9, [0], [9]), "~ap": FeatureRow(3, [0], [1])}
    word = WordRow("cap", rows, 3)
    assert sorted(word.runs) == ["~ap", "~ca"]
    assert [word.weight(number) for number in (-1, 0, 1)] == [10, -11, 0]
    assert word.squares == 13
    assert runs_needed(["cap", "cap", "tv"], {"cap": word, "tv": WordRow("tv", rows, 3)}) == {"~ap": 2, "~ca": 2}
    assert runs_needed(["tv", "tv"], None) == dict.fromkeys(grams("tv"), 2)


def test_a_run_of_letters_is_shared_among_the_words_in_which_it_stands() -> None:
    rows = {"~ca": FeatureRow(1000, [0], [100]), "cap": FeatureRow(1000, [0], [40])}
    words = ["cap", "case", "lid"]
    brought = word_points(words, sides_of(words, rows), rows, 0)
    assert dict(brought) == {"cap": 40 + 50, "case": 50}


def test_what_cannot_be_shared_evenly_is_not_lost() -> None:
    rows = {"~ca": FeatureRow(1, [0, 1], [7, -7])}
    words = ["cap", "case", "car"]
    sides = sides_of(words, rows)
    assert sides[1] == Side((("~ca", 2),), 2)
    for number, points in ((0, 7), (1, -7)):
        assert linear_points(sides, rows, {0: 0, 1: 0})[number] == points
        assert sum(share for _, share in word_points(words, sides, rows, number)) == points
