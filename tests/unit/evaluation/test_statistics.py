"""Shares with exact intervals, the paired test, Holm, kappa."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from assistant.evaluation.statistics import (
    Share,
    bootstrap_by_cluster,
    cluster_interval,
    cohen_kappa,
    holm,
    kappa_interval,
    sign_flip,
    swap_test,
)

COUNTS = st.tuples(st.integers(0, 3), st.integers(0, 3)).map(lambda pair: (min(pair), max(pair)))
SIDES = st.lists(st.tuples(COUNTS, COUNTS), min_size=1, max_size=12)


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
    many = ([1.0] * 40 + [0.0] * 30, [0.0] * 40 + [1.0] * 30)
    assert sign_flip(*many, seed=1) == sign_flip(*many, seed=1) != sign_flip(*many, seed=2)


def test_the_paired_test_counts_what_was_seen_among_the_draws() -> None:
    """Ten differences of one sign: 2 in 1024 sign patterns are as extreme."""
    assert sign_flip([1.0] * 10, [0.0] * 10) == pytest.approx(2 / 1024)
    p = sign_flip([1.0] * 10, [0.0] * 10, draws=1000)
    assert p == pytest.approx(2 / 1024, abs=4 * (2 / 1024 / 1000) ** 0.5 + 1 / 1000)
    assert sign_flip([1.0] * 200, [0.0] * 200, draws=99) == 1 / 100


def test_pairs_without_a_difference_do_not_count() -> None:
    left, right = [1.0, 1, 1, 0], [0.0, 0, 0, 1]
    assert sign_flip([*left, *[1.0] * 50], [*right, *[1.0] * 50]) == sign_flip(left, right)


@given(st.lists(st.tuples(st.booleans(), st.booleans()), max_size=30))
def test_swapping_sides_that_count_alike_is_flipping_signs(pairs: list[tuple[bool, bool]]) -> None:
    left, right = [float(one) for one, _ in pairs], [float(other) for _, other in pairs]
    swapped = swap_test([(value, 1) for value in left], [(value, 1) for value in right], draws=2000)
    flipped = sign_flip(left, right, draws=2000)
    assert swapped == pytest.approx(flipped, abs=5 * (2 * flipped * (1 - flipped) / 2000) ** 0.5 + 2 / 2000)


@given(SIDES)
def test_swapping_has_two_sides(pairs: list[tuple[tuple[int, int], tuple[int, int]]]) -> None:
    left, right = [one for one, _ in pairs], [other for _, other in pairs]
    assert swap_test(left, right, draws=200) == swap_test(right, left, draws=200)
    assert swap_test(left, left) == 1.0


def test_swapping_counts_what_was_seen_among_the_draws() -> None:
    """Two questions, (2 of 2, 0 of 1) and (1 of 1, 0 of 2): as extreme where both or neither are swapped."""
    p = swap_test([(2, 2), (1, 1)], [(0, 1), (0, 2)], draws=20_000)
    assert p == pytest.approx(0.5, abs=4 * (0.25 / 20_000) ** 0.5)


def test_few_clusters_give_no_interval() -> None:
    assert cluster_interval([], [], []) is None
    assert cluster_interval([(1, 1), (0, 1)], [(0, 1), (0, 1)], ["a", "a"]) is None


@given(SIDES, st.data())
def test_the_interval_by_cluster_turns_round_with_its_sides(
    pairs: list[tuple[tuple[int, int], tuple[int, int]]], data: st.DataObject
) -> None:
    left, right = [one for one, _ in pairs], [other for _, other in pairs]
    clusters = data.draw(st.lists(st.sampled_from("abc"), min_size=len(pairs), max_size=len(pairs)))
    found = cluster_interval(left, right, clusters, draws=200)
    assert (found is None) == (len(set(clusters)) < 2)
    if found is not None:
        assert -1 <= found[0] <= found[1] <= 1
        assert cluster_interval(right, left, clusters, draws=200) == pytest.approx((-found[1], -found[0]))
        assert cluster_interval(left, left, clusters, draws=200) == (0.0, 0.0)


def test_the_interval_does_not_depend_on_the_order_or_the_names() -> None:
    left, right = [(1, 1), (0, 1), (1, 1), (1, 1)], [(0, 1), (0, 1), (1, 1), (0, 1)]
    found = cluster_interval(left, right, ["a", "a", "b", "c"], draws=500)
    assert cluster_interval(left[::-1], right[::-1], ["c", "b", "a", "a"], draws=500) == found
    assert cluster_interval(left, right, ["k", "k", "l", "m"], draws=500) == found


def test_the_interval_holds_every_value_where_all_clusters_are_alike() -> None:
    clusters = [name for name in "abcdef" for _ in range(2)]
    assert cluster_interval([(1, 1), (1, 1)] * 6, [(1, 1), (0, 1)] * 6, clusters, draws=100) == (-0.5, -0.5)


def test_questions_that_stand_and_fall_together_widen_the_interval() -> None:
    """Four notes of ten questions, on two of which all are lost: as good as four observations."""
    left, right = [(1.0, 1.0)] * 40, [(0.0, 1.0)] * 20 + [(1.0, 1.0)] * 20
    together = cluster_interval(left, right, [name for name in "abcd" for _ in range(10)])
    apart = cluster_interval(left, right, [str(n) for n in range(40)])
    assert together is not None
    assert apart is not None
    assert together[0] < apart[0] < -0.5 < apart[1] < together[1]
    assert together == (-1.0, 0.0)


def test_a_draw_that_counts_nothing_is_no_error() -> None:
    found = cluster_interval([(0, 0), (1, 1)], [(0, 0), (0, 1)], ["a", "b"], draws=100)
    assert found == (-1.0, 0.0)


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
    wide, narrow = kappa_interval(one * 3, two * 3, draws=200), kappa_interval(one * 30, two * 30, draws=200)
    assert wide is not None
    assert narrow is not None
    assert wide[0] < cohen_kappa(one, two) < wide[1] <= 1
    assert kappa_interval(one * 3, two * 3, draws=200) == wide
    assert narrow[1] - narrow[0] < wide[1] - wide[0]


def test_the_interval_of_kappa_stands_where_a_draw_holds_one_label_alone() -> None:
    assert kappa_interval(["a", "a", "b"], ["a", "a", "b"], draws=200) == (1.0, 1.0)


def test_one_item_gives_no_interval() -> None:
    assert kappa_interval(["a"], ["b"]) is None


def test_a_figure_is_drawn_by_whole_clusters() -> None:
    """Four clusters of ten alike questions: the mean of a draw is a multiple of a quarter, and few are as wide."""
    values = np.asarray([1.0] * 20 + [0.0] * 20)
    seen: list[float] = []

    def mean(chosen: npt.NDArray[np.intp]) -> float:
        seen.append(float(values[chosen].mean()))
        return seen[-1]

    assert bootstrap_by_cluster(mean, [name for name in "abcd" for _ in range(10)], draws=400) == (0.0, 1.0)
    assert {round(4 * value, 9) for value in seen} <= {0, 1, 2, 3, 4}
    apart = bootstrap_by_cluster(lambda chosen: float(values[chosen].mean()), [str(n) for n in range(40)])
    assert apart is not None
    assert 0.25 < apart[0] < 0.5 < apart[1] < 0.75


def test_a_draw_without_a_figure_is_left_out() -> None:
    assert bootstrap_by_cluster(lambda _: float("nan"), ["a", "b"], draws=20) is None
    assert bootstrap_by_cluster(lambda _: 1.0, ["a", "a"], draws=20) is None
    assert bootstrap_by_cluster(lambda _: 1.0, [], draws=20) is None
