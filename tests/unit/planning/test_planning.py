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
from assistant.planning.reliability import availability
from assistant.planning.stock import Stock, least_stock, poisson_cdf, reorder_point, safety_stock, stock_for


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


@pytest.mark.parametrize(
    "checks",
    [[Check("a", 0.5, 0)], [Check("a", -0.1, 1)], [Check("a", 1.1, 1)], [Check("a", 0.6, 1), Check("b", 0.6, 1)]],
)
def test_what_is_no_case_is_refused(checks: list[Check]) -> None:
    with pytest.raises(ValueError, match="must be"):
        best_order(checks)
    with pytest.raises(ValueError, match="must be"):
        expected_minutes(checks)


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


def test_a_share_by_its_prior() -> None:
    assert beta_mean(3, 1) == pytest.approx(stats.beta(3.5, 1.5).mean())
    for counts, prior in (([], []), ([1], [1, 1]), ([-1], [1]), ([1], [0])):
        with pytest.raises(ValueError, match=r"one length|0 or more"):
            dirichlet_means(counts, prior)


@given(st.integers(-1, 60), st.floats(0, 40))
def test_poisson_equals_scipy(k: int, mean: float) -> None:
    assert poisson_cdf(k, mean) == pytest.approx(float(stats.poisson.cdf(k, mean)), abs=1e-9)


@given(st.floats(0.01, 30), st.floats(0.5, 0.999))
def test_the_least_stock_is_enough_and_one_less_is_not(mean: float, level: float) -> None:
    k = least_stock(mean, level)
    assert poisson_cdf(k, mean) >= level > poisson_cdf(k - 1, mean)


def test_the_rule_fits_the_demand() -> None:
    assert stock_for(0.1, 7, 0.3, 0.95) == Stock(least_stock(0.7, 0.95), "Poisson")
    assert stock_for(3, 7, 2, 0.95) == Stock(math.ceil(reorder_point(3, 7, 2, 0.95)), "normal")
    for bad in (0, 1):
        with pytest.raises(ValueError, match="level"):
            stock_for(1, 1, 1, bad)
    with pytest.raises(ValueError, match="0 or more"):
        safety_stock(-1, 1, 0.9)
    with pytest.raises(ValueError, match="0 or more"):
        poisson_cdf(1, -1)


@given(st.integers(1, 400), st.data(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_the_exact_interval_equals_scipy(n: int, data: st.DataObject, level: float) -> None:
    k = data.draw(st.integers(0, n))
    found = stats.binomtest(k, n).proportion_ci(level, method="exact")
    assert exact_interval(k, n, level) == pytest.approx((found.low, found.high), abs=1e-8)


def test_the_exact_interval_of_many_and_of_none() -> None:
    found = stats.binomtest(300, 100_000).proportion_ci(0.95, method="exact")
    assert exact_interval(300, 100_000) == pytest.approx((found.low, found.high), abs=1e-8)
    assert exact_interval(0, 0) == (0.0, 1.0)
    for k, n, level in ((1, 0, 0.95), (-1, 3, 0.95), (1, 3, 1.0)):
        with pytest.raises(ValueError, match="needs"):
            exact_interval(k, n, level)


def test_availability_needs_time() -> None:
    assert availability(3, 1) == 0.75
    for up, down in ((0, 0), (-1, 2)):
        with pytest.raises(ValueError, match="0 or more"):
            availability(up, down)
