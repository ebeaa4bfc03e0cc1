"""Worked examples of publications: order of checks, stock, availability, exact intervals."""

from __future__ import annotations

import pytest

from assistant.planning.interval import exact_interval
from assistant.planning.order import Check, after_clear, best_order, expected_minutes
from assistant.planning.reliability import (
    availability,
    inherent_availability,
    operational_availability,
    series,
)
from assistant.planning.stock import least_stock, poisson_cdf, reorder_point, safety_stock

FOUR = (
    Check("board", 0.1, 20),
    Check("setting", 0.2, 5),
    Check("adapter", 0.3, 3),
    Check("cable", 0.4, 1),
)
THREE = (Check("A", 0.5, 10), Check("B", 0.3, 2), Check("C", 0.2, 1))


def test_worked_orders_of_checks() -> None:
    """Kadane and Simon 1977, the rule of p over c (restated); the two examples were computed for this project."""
    best = best_order(FOUR)
    assert [check.id for check in best] == ["cable", "adapter", "setting", "board"]
    assert expected_minutes(best) == pytest.approx(6.3)
    assert expected_minutes(FOUR) == pytest.approx(27.0)
    assert [check.id for check in best_order(THREE)] == ["C", "B", "A"]
    assert expected_minutes(best_order(THREE)) == pytest.approx(7.6)
    assert expected_minutes(THREE) == pytest.approx(11.2)


@pytest.mark.parametrize(("probability", "first", "second"), [(0.3, 1, 5), (0.5, 2, 2), (0.8, 9, 2), (0.1, 1, 10)])
def test_two_causes(probability: float, first: float, second: float) -> None:
    """Two causes: check 1 first if and only if C1 / p <= C2 / (1 - p) (restated from the same rule)."""
    checks = (Check("1", probability, first), Check("2", 1 - probability, second))
    assert (best_order(checks)[0].id == "1") == (first / probability <= second / (1 - probability))


def test_a_clear_check_makes_the_others_likelier() -> None:
    """Bayes' rule, computed: A .5, B .3, C .2; B clear."""
    rest = after_clear(THREE, "B")
    assert [check.probability for check in rest] == pytest.approx([0.7142857, 0.2857143])
    assert sum(check.probability for check in rest) == pytest.approx(1)


def test_availability_examples() -> None:
    """NASA Systems Engineering Handbook (restated): 10,000 h with 10 failures and MTTR 5 h; 900 up and 100 down.

    The case with 46 h of waiting and the series of three were computed for this project.
    """
    assert inherent_availability(10_000 / 10, 5) == pytest.approx(0.99502, abs=1e-5)
    assert availability(900, 100) == pytest.approx(0.90, abs=1e-5)
    assert operational_availability(500, 2, 46) == pytest.approx(0.9124, abs=1e-5)
    assert inherent_availability(500, 2) == pytest.approx(0.996016, abs=1e-5)
    assert series(*[inherent_availability(1000, 5)] * 3) == pytest.approx(0.98515, abs=1e-5)


def test_reorder_point_examples() -> None:
    """Daily demand 30, deviation 5, lead time 10 days (restated textbook example; z as in the tables)."""
    assert safety_stock(5, 10, 0.95, z=1.65) == pytest.approx(26.09, abs=0.01)
    assert reorder_point(30, 10, 5, 0.95, z=1.65) == pytest.approx(326.09, abs=0.01)
    assert safety_stock(5, 10, 0.95, z=1.645) == pytest.approx(26.01, abs=0.01)
    assert safety_stock(5, 10, 0.95) == pytest.approx(26.01, abs=0.01)
    assert safety_stock(5, 10, 0.95, demand=30, lead_time_sd=2, z=1.645) == pytest.approx(102.07, abs=0.01)


def test_slow_spares() -> None:
    """Poisson table values for a mean of 2 (computed; any Poisson table has them)."""
    assert poisson_cdf(4, 2) == pytest.approx(0.9473, abs=5e-5)
    assert poisson_cdf(5, 2) == pytest.approx(0.9834, abs=5e-5)
    assert least_stock(2, 0.95) == 5
    assert least_stock(2, 0.94) == 4


@pytest.mark.parametrize(
    ("k", "n", "level", "low", "high"),
    [
        (4, 20, 0.90, 0.071354, 0.401029),
        (4, 20, 0.95, 0.0573, 0.4366),
        (0, 20, 0.95, 0.0, 0.1684),
        (0, 30, 0.95, 0.0, 0.1157),
        (8, 10, 0.95, 0.4439, 0.9748),
        (85, 100, 0.95, 0.7647, 0.9135),
        (150, 200, 0.95, 0.6840, 0.8084),
        (682, 925, 0.95, 0.7076683, 0.7654066),
    ],
)
def test_exact_intervals(k: int, n: int, level: float, low: float, high: float) -> None:
    """NIST/SEMATECH e-Handbook 7.2.4.1 (4 of 20; restated, its page rounds .40103 to .400); binom.test of the R manual
    (682 of 925; from memory); the others computed by root finding. One published entry swaps the tails: its limits
    would not bracket the share."""
    found = exact_interval(k, n, level)
    assert found == pytest.approx((low, high), abs=6e-5)
    assert found[0] <= k / n <= found[1]
    if k == 0:
        assert found[0] == 0.0


def test_the_limits_are_exact_at_the_ends() -> None:
    """NIST/SEMATECH e-Handbook 7.2.4.1 (4 of 20; restated); none of 30 from one side, computed by root finding."""
    assert exact_interval(20, 20)[1] == 1.0
    assert exact_interval(4, 20, 0.90) == pytest.approx((0.071354, 0.401029), abs=1e-5)
    assert exact_interval(0, 30, 0.90)[1] == pytest.approx(0.0950, abs=1e-4)
