"""Probabilities to state: what came true of what they were learned from, and of what they have not seen."""

from __future__ import annotations

import json

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.isotonic import IsotonicRegression

from assistant.answering.decide import Margins, probability
from assistant.evaluation.enough import FEWEST_OF_A_KIND
from assistant.evaluation.stating import LEAST_BAND, steps, table_of


def drawn(seed: int, count: int) -> tuple[list[Margins], list[bool]]:
    """Return margins whose mean tells how likely it came true, by a known curve, and what came true."""
    random = np.random.default_rng(seed)
    rows = random.normal(300, 400, (count, 3)).astype(int)
    true = random.random(count) < 1 / (1 + np.exp(-rows.mean(axis=1) / 120))
    return [Margins(*row) for row in rows.tolist()], true.tolist()


def test_what_is_stated_is_the_share_that_came_true() -> None:
    """Over all that was learned from, and within each step of the table."""
    margins, true = drawn(5, 900)
    found = table_of(margins, true)
    assert found is not None
    assert json.loads(json.dumps(found)) == found
    stated = [probability(row, found) for row in margins]
    assert np.mean(stated) == pytest.approx(np.mean(true), abs=0.001)
    for level in set(stated):
        within = [t for s, t in zip(stated, true, strict=True) if s == level]
        assert len(within) >= LEAST_BAND
        assert np.mean(within) == pytest.approx(level, abs=0.001)
    assert len(set(stated)) > 2


@pytest.mark.parametrize("seed", range(3))
def test_of_what_was_not_learned_from_little_is_lost_against_the_truth(seed: int) -> None:
    """Within a hundredth of the Brier score of the curve that it was drawn by; a tenth less everywhere loses more."""
    found = table_of(*drawn(seed, 4000))
    assert found is not None
    margins, came = drawn(seed + 100, 2000)
    true = np.array(came, dtype=float)
    stated = np.array([probability(row, found) for row in margins])
    curve = 1 / (1 + np.exp(-np.array(margins).mean(axis=1) / 120))
    least, lost, low = (float(np.square(one - true).mean()) for one in (curve, stated, stated - 0.1))
    assert least - 0.01 < lost < least + 0.01
    assert low > lost + 0.005


@given(st.lists(st.tuples(st.integers(-20, 20), st.booleans()), min_size=1, max_size=400))
def test_steps_give_rising_thresholds_and_the_shares_between_them(rows: list[tuple[int, bool]]) -> None:
    rows.sort(key=lambda pair: pair[0])
    sums = np.array([total for total, _ in rows])
    y = np.array([true for _, true in rows])
    fitted = IsotonicRegression(out_of_bounds="clip").fit_transform(sums, y.astype(float))
    table = steps(sums, fitted, y)
    least, stated = zip(*table, strict=True)
    assert least[0] == -(10**9)
    assert list(least) == sorted(set(least))
    assert list(stated) == sorted(stated)
    for place, (start, thousandths) in enumerate(table):
        end = least[place + 1] if place + 1 < len(least) else 10**9
        within = [true for total, true in rows if start <= total < end]
        assert thousandths == round(1000 * float(np.mean(within)))
        assert len(within) >= min(LEAST_BAND, len(rows))


@pytest.mark.parametrize("wrong", [0, FEWEST_OF_A_KIND - 1])
def test_nothing_is_stated_where_too_few_came_out_either_way(wrong: int) -> None:
    """A solver that is given one class alone would raise."""
    margins = [Margins(n, n, n) for n in range(120)]
    true = [n >= wrong for n in range(120)]
    assert table_of(margins, true) is None
    assert table_of(margins, [n >= FEWEST_OF_A_KIND for n in range(120)]) is not None
