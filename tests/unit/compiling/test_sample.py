"""Which lines a class is learned against, and that what is left out is stood for."""

from __future__ import annotations

from random import Random
from typing import Any

import numpy as np
import pytest

from assistant.compiling import sample
from assistant.compiling.classes import ClassWeights, learn_block, problem_of
from assistant.compiling.linear import EXACT_CLASSES, learn_linear, sampling_for
from assistant.compiling.lines import Lines
from assistant.compiling.sample import Sampling, chosen_lines, middles_of, rare_lines
from assistant.compiling.vectors import Vectors
from assistant.ranking.score import NONE
from tests.making import plain_settings

SETTINGS = plain_settings().linear
CLASSES = (NONE, 0, 1, 2, 3, 4, 5)


def made_lines(each: int = 12) -> Lines:
    """Return lines of classes that share words with their neighbours."""
    random = Random(4)
    lines: dict[str, frozenset[int]] = {}
    for number in CLASSES:
        for _ in range(each):
            own = random.choices([f"thing{chr(97 + number + k)}x" for k in (1, 1, 2)], k=2)
            lines[f"the {' '.join(own)} is {random.choice('pqrstu')}{random.choice('aeiou')}d again"] = frozenset(
                {number}
            )
    return lines


LINES = made_lines()
VECTORS = Vectors(LINES.keys(), SETTINGS, short=True)
RARE = rare_lines(VECTORS.matrix)


def own_rows(number: int) -> Any:
    return np.array([row for row, numbers in enumerate(LINES.values()) if number in numbers])


def chosen(number: int, near: int, drawn: int) -> tuple[list[int], list[float]]:
    own = [own_rows(number)]
    middles = middles_of(VECTORS.matrix, own, RARE)
    (found,) = chosen_lines(RARE, own, middles, Sampling(near, drawn, 0))
    return found.rows.tolist(), found.weights.tolist()


def learned(number: int, sampling: Sampling | None) -> ClassWeights:
    problem = problem_of(VECTORS.matrix, LINES.values(), CLASSES, sampling)
    (found,) = learn_block(problem, [CLASSES.index(number)], SETTINGS)
    return found


def same(one: ClassWeights, other: ClassWeights) -> bool:
    return (one.columns, one.weights, one.bias) == (other.columns, other.weights, other.bias)


@pytest.mark.parametrize("number", CLASSES)
def test_a_class_has_all_of_its_own_lines_and_the_weights_add_up_to_all_lines(number: int) -> None:
    rows, weights = chosen(number, 5, 10)
    own = set(own_rows(number).tolist())
    assert own <= set(rows)
    assert rows == sorted(set(rows))
    assert len(rows) == len(own) + max(5, 2 * len(own)) + 10 or len(rows) < len(LINES)
    assert sum(weights) == pytest.approx(len(LINES))
    assert {weight for row, weight in zip(rows, weights, strict=True) if row in own} == {1.0}
    assert max(weights) > 1


def test_near_lines_are_those_most_like_the_middle_of_its_own() -> None:
    own = own_rows(2)
    middle = np.zeros(len(VECTORS.names))
    middle[RARE.columns] = np.asarray(VECTORS.matrix[own].mean(axis=0)).ravel()[RARE.columns]
    likeness = VECTORS.matrix @ middle
    others = [row for row in range(len(LINES)) if row not in set(own.tolist()) and likeness[row] > 0]
    nearest = sorted(others, key=lambda row: (-round(float(likeness[row]), 6), row))[: 2 * len(own)]
    rows, _ = chosen(2, 0, 0)
    assert len(rows) == len(own) + len(nearest)
    least = min(likeness[row] for row in nearest)
    assert all(likeness[row] >= least - 1e-6 for row in set(rows) - set(own.tolist()))


def test_a_class_of_many_lines_is_learned_against_more() -> None:
    own = [own_rows(2)]
    middles = middles_of(VECTORS.matrix, own, RARE)
    (few,) = chosen_lines(RARE, own, middles, Sampling(0, 1, 0))
    (more,) = chosen_lines(RARE, own, middles, Sampling(0, 1, 2))
    assert len(more.rows) == len(few.rows) + 2 * len(own[0]) - 1


def test_what_many_lines_have_makes_them_not_alike() -> None:
    rare = {VECTORS.names[column] for column in RARE.columns}
    assert not {"the", "again"} & rare
    assert rare
    assert abs(RARE.lines - VECTORS.matrix.T.tocsr()[RARE.columns]).max() == 0


def test_of_any_number_of_lines_what_very_many_have_makes_them_not_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """So the lines of a class cost no more to find where all lines are more."""
    monkeypatch.setattr(sample, "_MOST", 1)
    monkeypatch.setattr(sample, "_AT_ONCE", 7)
    counts = np.bincount(VECTORS.matrix.indices, minlength=len(VECTORS.names))
    assert rare_lines(VECTORS.matrix).columns.tolist() == np.flatnonzero(counts <= 1).tolist()
    assert len(rare_lines(VECTORS.matrix).columns) < len(RARE.columns)


def test_drawn_lines_stand_evenly_among_those_that_are_left() -> None:
    rows, weights = chosen(2, 5, 10)
    drawn = [row for row, weight in zip(rows, weights, strict=True) if weight != 1]
    rest = [row for row in range(len(LINES)) if row not in set(rows) - set(drawn)]
    assert drawn == [rest[place * len(rest) // 10] for place in range(10)]


def test_the_same_is_chosen_beside_other_classes() -> None:
    own = [own_rows(number) for number in CLASSES]
    middles = middles_of(VECTORS.matrix, own, RARE)
    for number, found in zip(CLASSES, chosen_lines(RARE, own, middles, Sampling(5, 10, 0)), strict=True):
        assert (found.rows.tolist(), found.weights.tolist()) == chosen(number, 5, 10)


@pytest.mark.parametrize("number", CLASSES)
def test_a_sample_of_everything_learns_what_all_lines_teach(number: int) -> None:
    """With all lines in the sample, each stands for itself, and no more than rounding is left of the difference."""
    exact, sampled = learned(number, None), learned(number, Sampling(0, len(LINES), 0))
    assert list(sampled.columns) == pytest.approx(list(exact.columns))
    assert list(sampled.weights) == pytest.approx(list(exact.weights), abs=3)
    assert sampled.bias == pytest.approx(exact.bias, abs=3)


def test_a_small_sample_tells_its_lines_from_the_others() -> None:
    for number in CLASSES:
        found = learned(number, Sampling(10, 20, 0))
        columns = np.asarray(found.columns, dtype=int)
        points = VECTORS.matrix[:, columns] @ np.asarray(found.weights) + found.bias
        own = own_rows(number)
        others = np.setdiff1d(np.arange(len(LINES)), own)
        assert np.mean(points[own]) > np.mean(points[others]) + 500, number


def test_weights_that_stand_for_others_count() -> None:
    """Without them the bias would be that of a world in which the lines left out do not exist."""
    sampled = learned(0, Sampling(0, 4, 0))
    exact = learned(0, None)
    assert not same(sampled, exact)
    assert abs(sampled.bias - exact.bias) < 400


def test_up_to_500_notes_all_lines_are_learned_from() -> None:
    assert EXACT_CLASSES == 501
    assert sampling_for(501) is None
    assert sampling_for(502) == Sampling()


@pytest.mark.parametrize("sampling", [None, Sampling(5, 10, 0)])
def test_two_processes_learn_what_one_learns(sampling: Sampling | None) -> None:
    found = [learn_linear(LINES, SETTINGS, sampling=sampling, workers=workers) for workers in (1, 2)]
    one, two = ({name: (row.idf, row.pairs()) for name, row in model.rows.items()} for model in found)
    assert one == two
    assert found[0].bias == found[1].bias
