"""Learning the linear models."""

from __future__ import annotations

import pytest
from sklearn.svm import LinearSVC

from assistant.analysis.tokens import tokenize
from assistant.compiling import vectors as vectors_module
from assistant.compiling.classes import ClassWeights, learn_class
from assistant.compiling.linear import LinearModel, learn_linear
from assistant.compiling.settings import LinearSettings
from assistant.compiling.vectors import Vectors
from assistant.ranking.linear import linear_points, sides_of
from tests.making import Told, plain_settings

SETTINGS = plain_settings().linear
TORN, DARK, NONE = 0, 1, -1
LINES = {
    "stick cap torn": frozenset({TORN}),
    "rubber of the stick is torn": frozenset({TORN}),
    "thumb grip gone": frozenset({TORN}),
    "lamp is dark": frozenset({DARK}),
    "pad does not light up": frozenset({DARK}),
    "no light on the pad": frozenset({DARK}),
    "pad is broken": frozenset({TORN, DARK}),
    "when do i get paid": frozenset({NONE}),
    "sing a song": frozenset({NONE}),
}
TARGET = [TORN in classes for classes in LINES.values()]


def settings(**changes: float) -> LinearSettings:
    values = {name: getattr(SETTINGS, name) for name in SETTINGS.__slots__}
    return LinearSettings(**{**values, **changes})


def told(model: LinearModel) -> tuple[object, ...]:
    return {name: (row.idf, row.pairs()) for name, row in model.rows.items()}, model.bias


def points(model: LinearModel, text: str) -> dict[int, int]:
    return linear_points(sides_of(tokenize(text), model.rows), model.rows, model.bias)


def test_each_class_is_told_from_the_others() -> None:
    model = learn_linear(LINES, SETTINGS)
    assert model.bias.keys() == {NONE, TORN, DARK}
    for line, classes in LINES.items():
        found = points(model, line)
        assert {number for number, value in found.items() if value > 0} == classes, line


def test_the_same_rows_give_the_same_weights_whatever_was_learned_before() -> None:
    vectors = Vectors(LINES.keys(), SETTINGS)
    first = learn_class(vectors.matrix, TARGET, SETTINGS)
    learn_class(vectors.matrix, [not own for own in TARGET], SETTINGS)
    again = learn_class(Vectors(LINES.keys(), SETTINGS).matrix, TARGET, SETTINGS)
    assert (first.columns, first.weights, first.bias) == (again.columns, again.weights, again.bias)
    assert told(learn_linear(LINES, SETTINGS)) == told(learn_linear(LINES, SETTINGS))


def test_weights_are_those_of_scikit_learn_in_thousandths() -> None:
    vectors = Vectors(LINES.keys(), SETTINGS)
    model = LinearSVC(C=SETTINGS.inverse_penalty, random_state=0, tol=SETTINGS.tolerance).fit(vectors.matrix, TARGET)
    learned = learn_class(vectors.matrix, TARGET, settings(least_weight=0))
    assert list(learned.columns) == list(range(len(vectors.names)))
    assert learned.weights == pytest.approx(1000 * model.coef_[0], abs=0.5)
    assert learned.bias == pytest.approx(1000 * model.intercept_[0], abs=0.5)


@pytest.mark.parametrize("least", [20, 50, 200])
def test_weights_below_the_least_are_dropped_and_no_others(least: int) -> None:
    vectors = Vectors(LINES.keys(), SETTINGS)
    whole = learn_class(vectors.matrix, TARGET, settings(least_weight=0))
    kept = learn_class(vectors.matrix, TARGET, settings(least_weight=least))
    strong = [(c, w) for c, w in zip(whole.columns, whole.weights, strict=True) if abs(w) >= least]
    assert list(zip(kept.columns, kept.weights, strict=True)) == strong
    assert 0 < len(strong) < len(whole.columns)
    assert kept.bias == whole.bias


def test_a_feature_without_a_weight_keeps_its_idf() -> None:
    """The length of a question's vector counts it."""
    model = learn_linear(LINES, settings(least_weight=30_000))
    assert model.rows["torn"].pairs() == []
    assert model.rows["torn"].idf > 1000
    assert points(model, "torn") == model.bias


@pytest.mark.parametrize("lines", [{}, {"a b": frozenset({3})}, {"a b": frozenset({3}), "c": frozenset({3})}])
def test_fewer_than_two_classes_give_an_empty_model(lines: dict[str, frozenset[int]]) -> None:
    kept: list[object] = []
    assert learn_linear(lines, SETTINGS, keep=lambda *learned: kept.append(learned)) == LinearModel({}, {})
    assert kept == []


def test_a_class_that_every_line_stands_for_has_a_bias_alone() -> None:
    lines = {line: classes | {5} for line, classes in LINES.items()}
    model = learn_linear(lines, SETTINGS)
    assert model.bias[5] == 1000
    assert not any(number == 5 for row in model.rows.values() for number in row.classes)
    assert {**model.bias, 5: 0} == {**learn_linear(LINES, SETTINGS).bias, 5: 0}


def test_few_lines_keep_features_that_one_line_has() -> None:
    rows = learn_linear(LINES, settings(word_texts=2, gram_texts=3)).rows
    assert {"song", "a song", "~song", "torn", "~torn", "is"} <= rows.keys()


def test_many_lines_drop_features_that_hardly_any_line_has(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(vectors_module, "_MANY_LINES", len(LINES))
    rows = learn_linear(LINES, settings(word_texts=2, gram_texts=3)).rows
    assert {"torn", "is", "pad", "~ pad"} <= rows.keys()
    assert not {"song", "a song", "~song", "~torn"} & rows.keys()
    monkeypatch.setattr(vectors_module, "_MANY_LINES", len(LINES) + 1)
    assert "song" in learn_linear(LINES, settings(word_texts=2, gram_texts=3)).rows


def test_what_was_learned_is_handed_on_and_told() -> None:
    kept: list[tuple[Vectors, dict[int, ClassWeights]]] = []
    said = Told()
    model = learn_linear(LINES, SETTINGS, said, keep=lambda *learned: kept.append(learned))
    ((vectors, learned),) = kept
    assert said == ["learning 3 classes"]
    assert {number: found.bias for number, found in learned.items()} == model.bias
    for number, found in learned.items():
        stored = {name: dict(row.pairs())[number] for name, row in model.rows.items() if number in dict(row.pairs())}
        assert stored == {vectors.names[c]: w for c, w in zip(found.columns, found.weights, strict=True)}


def test_rows_of_other_lines_know_what_the_first_had() -> None:
    vectors = Vectors(LINES.keys(), SETTINGS)
    assert vectors.matrix.shape == (len(LINES), len(vectors.names))
    assert len(vectors.idf) == len(vectors.names)
    assert abs(vectors.rows(list(LINES)) - vectors.matrix).max() < 1e-12
    assert vectors.rows(["qqqq"]).nnz == 0
