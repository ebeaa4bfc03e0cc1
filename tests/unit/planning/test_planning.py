"""Order of checks against brute force, stock and intervals against scipy."""

from __future__ import annotations

import math
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from assistant.planning.beliefs import beta_mean, dirichlet_means
from assistant.planning.interval import exact_interval
from assistant.planning.order import Check, after_clear, best_order, expected_minutes
from assistant.planning.reliability import availability, series
from assistant.planning.stock import (
    SLOW_MEAN,
    Stock,
    least_stock,
    normal_quantile,
    poisson_cdf,
    reorder_point,
    safety_stock,
    stock_for,
)

LEVELS = [0.8, 0.9, 0.95, 0.99]


@st.composite
def cases(draw: st.DrawFn, most: int = 8, *, fixed: bool = False) -> tuple[Check, ...]:
    """Draw one to ``most`` checks; what the probabilities lack to 1 no check finds."""
    count = draw(st.integers(1, most))
    weights = [draw(st.integers(0, 20)) for _ in range(count)]
    whole = sum(weights) + draw(st.integers(1, 20))
    return tuple(
        Check(str(i), weight / whole, draw(st.integers(1, 60)), fixed and draw(st.booleans()))
        for i, weight in enumerate(weights)
    )


def least_of_all_orders(checks: tuple[Check, ...]) -> float:
    """Return the least expected minutes over all orders, by dynamic programming over the sets made first."""
    count = len(checks)
    best = [math.inf] * (1 << count)
    best[0] = 0.0
    for made in range(1 << count):
        spent = sum(check.minutes for i, check in enumerate(checks) if made >> i & 1)
        for i, check in enumerate(checks):
            if not made >> i & 1:
                after = made | 1 << i
                best[after] = min(best[after], best[made] + check.probability * (spent + check.minutes))
    everything = sum(check.minutes for check in checks)
    return best[-1] + (1 - sum(check.probability for check in checks)) * everything


@given(cases())
@settings(max_examples=300)
def test_no_order_of_up_to_eight_checks_is_better(checks: tuple[Check, ...]) -> None:
    found = best_order(checks)
    assert sorted(found) == sorted(checks)
    assert expected_minutes(found) == pytest.approx(least_of_all_orders(checks), abs=1e-9)


@given(cases(most=5))
def test_brute_force_by_sets_equals_that_by_orders(checks: tuple[Check, ...]) -> None:
    every = min(expected_minutes(order) for order in permutations(checks))
    assert least_of_all_orders(checks) == pytest.approx(every, abs=1e-9)


@given(cases(most=6, fixed=True))
def test_a_fixed_check_keeps_its_place_and_nothing_passes_it(checks: tuple[Check, ...]) -> None:
    found = best_order(checks)
    places = [i for i, check in enumerate(checks) if check.fixed]
    assert [found[i] for i in places] == [checks[i] for i in places]
    allowed = [
        order
        for order in permutations(checks)
        if all({*order[: i + 1]} == {*checks[: i + 1]} and order[i] == checks[i] for i in places)
    ]
    assert expected_minutes(found) == pytest.approx(min(map(expected_minutes, allowed)), abs=1e-9)


def test_ties_keep_the_written_order() -> None:
    checks = (Check("b", 0.2, 2), Check("a", 0.3, 3), Check("c", 0.1, 1))
    assert best_order(checks) == checks


def test_small_ratios_are_no_ties() -> None:
    slow, quick = Check("slow", 1e-4, 3e9), Check("quick", 1e-4, 1e9)
    assert best_order((slow, quick)) == (quick, slow)


@pytest.mark.parametrize(
    "checks",
    [
        [Check("a", 0.5, 0)],
        [Check("a", 0.5, math.inf)],
        [Check("a", 0.5, math.nan)],
        [Check("a", -0.1, 1)],
        [Check("a", 1.1, 1)],
        [Check("a", math.nan, 1)],
        [Check("a", 0.6, 1), Check("b", 0.6, 1)],
    ],
)
def test_what_is_no_case_is_refused(checks: list[Check]) -> None:
    with pytest.raises(ValueError, match="must be"):
        best_order(checks)
    with pytest.raises(ValueError, match="must be"):
        expected_minutes(checks)
    with pytest.raises(ValueError, match="must be"):
        after_clear(checks, "a")


@given(cases(), st.data())
def test_a_clear_check_leaves_the_others_in_their_shares(checks: tuple[Check, ...], data: st.DataObject) -> None:
    clear = data.draw(st.sampled_from(checks))
    rest = after_clear(checks, clear.id)
    others = [check for check in checks if check.id != clear.id]
    assert [check._replace(probability=0) for check in rest] == [check._replace(probability=0) for check in others]
    expected = [check.probability / (1 - clear.probability) for check in others]
    assert [check.probability for check in rest] == pytest.approx(expected, abs=1e-9)


def test_what_a_nearly_certain_check_leaves_is_still_a_case() -> None:
    checks = (Check("a", 1 - 1e-9, 1), Check("b", 0.6e-9, 1), Check("c", 0.4e-9, 1))
    rest = after_clear(checks, "a")
    assert [check.probability for check in rest] == pytest.approx([0.6, 0.4])
    assert expected_minutes(rest) == pytest.approx(1.4)


def test_a_clear_check_is_refused_where_it_cannot_be() -> None:
    with pytest.raises(ValueError, match="no check"):
        after_clear([Check("a", 0.5, 1)], "b")
    with pytest.raises(ValueError, match="certain"):
        after_clear([Check("a", 1.0, 1)], "a")


@given(st.lists(st.tuples(st.integers(0, 50), st.floats(0.1, 5)), min_size=1, max_size=8))
def test_posterior_means_sum_to_one_and_equal_scipy(pairs: list[tuple[int, float]]) -> None:
    counts, prior = zip(*pairs, strict=True)
    means = dirichlet_means(counts, prior)
    assert sum(means) == pytest.approx(1)
    if len(pairs) > 1:
        alpha = [count + share for count, share in pairs]
        assert means == pytest.approx(tuple(stats.dirichlet(alpha).mean()))


@given(st.integers(0, 10_000), st.integers(0, 10_000), st.floats(0.1, 9), st.floats(0.1, 9))
def test_a_share_equals_scipy(hits: int, misses: int, a: float, b: float) -> None:
    assert beta_mean(hits, misses, a, b) == pytest.approx(float(stats.beta(hits + a, misses + b).mean()), abs=1e-9)
    assert beta_mean(hits, misses) == beta_mean(hits, misses, 0.5, 0.5)


def test_what_is_no_count_or_prior_is_refused() -> None:
    for counts, prior in (([], []), ([1], [1, 1]), ([-1], [1]), ([1], [0]), ([1], [math.nan])):
        with pytest.raises(ValueError, match=r"one length|0 or more"):
            dirichlet_means(counts, prior)


@given(st.integers(-1, 400), st.floats(0, 300))
def test_poisson_equals_scipy(k: int, mean: float) -> None:
    assert poisson_cdf(k, mean) == pytest.approx(float(stats.poisson.cdf(k, mean)), abs=1e-9)


@given(st.floats(1e-6, 1 - 1e-6))
def test_the_normal_quantile_equals_scipy(level: float) -> None:
    assert normal_quantile(level) == pytest.approx(float(stats.norm.ppf(level)), abs=1e-9)


@given(st.floats(0, 90), st.floats(0, 30), st.floats(0, 50), st.floats(0, 9), st.sampled_from(LEVELS))
def test_the_reorder_point_equals_the_quantile_of_scipy(
    demand: float, lead_time: float, sd: float, lead_time_sd: float, level: float
) -> None:
    deviation = math.hypot(math.sqrt(lead_time) * sd, demand * lead_time_sd)
    found = reorder_point(demand, lead_time, sd, level, lead_time_sd=lead_time_sd)
    quantile = demand * lead_time + float(stats.norm.ppf(level)) * deviation
    assert found == pytest.approx(quantile, rel=1e-9, abs=1e-9)


@given(st.floats(0.01, 30), st.floats(0.5, 0.999))
def test_the_least_stock_is_enough_and_one_less_is_not(mean: float, level: float) -> None:
    k = least_stock(mean, level)
    assert poisson_cdf(k, mean) >= level > poisson_cdf(k - 1, mean)


@pytest.mark.parametrize("mean", [0.3, 9.9, 1000.0])
def test_the_least_stock_ends_at_a_level_next_to_one(mean: float) -> None:
    assert stats.poisson.sf(least_stock(mean, 1 - 1e-15), mean) == pytest.approx(0, abs=1.2e-15)


def test_the_rule_fits_the_demand() -> None:
    assert stock_for(0.1, 7, 0.3, 0.95) == Stock(least_stock(0.7, 0.95), "Poisson")
    assert stock_for(SLOW_MEAN / 2, 2, 2, 0.95).method == "normal"
    assert stock_for(3, 7, 2, 0.95) == Stock(math.ceil(reorder_point(3, 7, 2, 0.95)), "normal")
    for bad in (0, 1):
        with pytest.raises(ValueError, match="level"):
            stock_for(1, 1, 1, bad)
    for wrong in (-1, math.nan, math.inf):
        with pytest.raises(ValueError, match="0 or more"):
            safety_stock(wrong, 1, 0.9)
        with pytest.raises(ValueError, match="0 or more"):
            poisson_cdf(1, wrong)


@given(st.integers(1, 100_000), st.data(), st.sampled_from([*LEVELS, 0.999999]))
def test_the_exact_interval_equals_scipy(n: int, data: st.DataObject, level: float) -> None:
    k = data.draw(st.integers(0, n))
    found = stats.binomtest(k, n).proportion_ci(level, method="exact")
    low, high = exact_interval(k, n, level)
    assert (low, high) == pytest.approx((found.low, found.high), abs=1e-9)
    assert low <= k / n <= high
    tail = (1 - level) / 2
    if k > 0:
        assert low == pytest.approx(float(stats.beta.ppf(tail, k, n - k + 1)), abs=1e-9)
    if k < n:
        assert high == pytest.approx(float(stats.beta.ppf(1 - tail, k + 1, n - k)), abs=1e-9)


@pytest.mark.parametrize("k", [0, 1, 300, 50_000, 99_999, 100_000])
def test_the_exact_interval_of_many(k: int) -> None:
    found = stats.binomtest(k, 100_000).proportion_ci(0.95, method="exact")
    assert exact_interval(k, 100_000) == pytest.approx((found.low, found.high), abs=1e-9)


def test_the_exact_interval_at_its_ends() -> None:
    assert exact_interval(0, 0) == (0.0, 1.0)
    assert exact_interval(0, 1, 1 - 1e-16) == pytest.approx((0.0, 1.0))
    assert exact_interval(0, 7)[0] == 0.0
    assert exact_interval(7, 7)[1] == 1.0
    for k, n, level in ((1, 0, 0.95), (-1, 3, 0.95), (4, 3, 0.95), (1, 3, 1.0), (1, 3, 0.0), (1, 3, math.nan)):
        with pytest.raises(ValueError, match="needs"):
            exact_interval(k, n, level)


def test_availability_needs_time() -> None:
    assert availability(3, 1) == 0.75
    for up, down in ((0, 0), (-1, 2), (math.inf, 1), (1, math.nan)):
        with pytest.raises(ValueError, match="0 or more"):
            availability(up, down)
    with pytest.raises(ValueError, match="between 0 and 1"):
        series(0.9, 1.1)
