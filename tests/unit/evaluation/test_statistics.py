"""Shares with exact intervals, the paired test, Holm, kappa."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assistant.evaluation.statistics import Share, cohen_kappa, holm, kappa_interval, sign_flip


@given(n=st.integers(1, 60), share=st.floats(0, 1), level=st.sampled_from((0.9, 0.95, 0.999)))
def test_the_interval_is_the_one_of_the_beta_distribution(n: int, share: float, level: float) -> None:
    k = round(share * n)
    tail = (1 - level) / 2
    low = 0.0 if k == 0 else float(stats.beta.ppf(tail, k, n - k + 1))
    high = 1.0 if k == n else float(stats.beta.ppf(1 - tail, k + 1, n - k))
    assert Share(k, n).interval(level) == pytest.approx((low, high), abs=1e-9)


def test_a_share_of_nothing_says_nothing() -> None:
    assert Share(0, 0).value == 0.0
    assert Share(0, 0).interval() == (0.0, 1.0)


def test_a_share_is_printed_with_its_interval() -> None:
    assert str(Share(3, 4)) == "3/4 = 0.750 [0.194, 0.994]"


def test_equal_values_differ_by_chance_alone() -> None:
    assert sign_flip([1, 0, 1], [1, 0, 1]) == 1.0
    assert sign_flip([], []) == 1.0


def test_the_paired_test_has_two_sides_and_repeats_itself() -> None:
    left, right = [1.0, 1, 1, 0, 1, 1], [0.0, 0, 1, 1, 0, 0]
    assert sign_flip(left, right) == sign_flip(right, left) == sign_flip(left, right)
    assert sign_flip(left, right, seed=1) != sign_flip(left, right, seed=2)


def test_the_paired_test_counts_what_was_seen_among_the_draws() -> None:
    """Ten differences of one sign: 2 in 1024 sign patterns are as extreme."""
    p = sign_flip([1.0] * 10, [0.0] * 10, draws=50_000)
    assert p == pytest.approx(2 / 1024, abs=4 * (2 / 1024 / 50_000) ** 0.5)
    assert sign_flip([1.0] * 200, [0.0] * 200, draws=99) == 1 / 100


def test_pairs_without_a_difference_do_not_count() -> None:
    left, right = [1.0, 1, 1, 0], [0.0, 0, 0, 1]
    assert sign_flip([*left, *[1.0] * 50], [*right, *[1.0] * 50]) == sign_flip(left, right)


def test_holm_by_hand() -> None:
    assert holm([0.01, 0.04, 0.03, 0.005]) == pytest.approx([0.03, 0.06, 0.06, 0.02])
    assert holm([0.6, 0.5]) == [1.0, 1.0]
    assert holm([]) == []


@given(st.lists(st.floats(0, 1), max_size=8))
def test_holm_keeps_the_order_and_never_lowers(p_values: list[float]) -> None:
    adjusted = holm(p_values)
    assert all(p <= a <= 1 for p, a in zip(p_values, adjusted, strict=True))
    pairs = sorted(zip(p_values, adjusted, strict=True))
    assert [a for _, a in pairs] == sorted(adjusted)


def test_kappa_by_hand() -> None:
    """Three of four alike, .5 expected by chance."""
    assert cohen_kappa(["a", "a", "b", "b"], ["a", "a", "b", "a"]) == pytest.approx(0.5)
    assert cohen_kappa(["a", "b"], ["a", "b"]) == 1.0


def test_the_interval_of_kappa_holds_kappa_and_narrows() -> None:
    one, two = list("aabbccabca"), list("aabbccabcb")
    low, high = kappa_interval(one * 3, two * 3, draws=200)
    assert low < cohen_kappa(one, two) < high <= 1
    assert kappa_interval(one * 3, two * 3, draws=200) == (low, high)
    narrow = kappa_interval(one * 30, two * 30, draws=200)
    assert narrow[1] - narrow[0] < high - low


def test_the_interval_of_kappa_stands_where_a_draw_holds_one_label_alone() -> None:
    low, high = kappa_interval(["a", "a", "b"], ["a", "a", "b"], draws=200)
    assert (low, high) == (1.0, 1.0)
