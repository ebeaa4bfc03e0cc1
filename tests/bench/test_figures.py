"""The arithmetic of the benchmarks, beside NumPy's and SciPy's."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from eval.bench.figures import Figure, exponent, fits, median, p95, ratios

_seconds = st.lists(st.floats(0.001, 1e6), min_size=1, max_size=40)
_points = st.lists(
    st.tuples(st.integers(1, 10**6), st.floats(0.001, 1e6)), min_size=2, max_size=8, unique_by=lambda point: point[0]
)


@given(_seconds)
def test_median_and_percentile_are_those_of_numpy(values: list[float]) -> None:
    assert math.isclose(median(values), float(np.median(values)))
    assert math.isclose(p95(values), float(np.percentile(values, 95)), rel_tol=1e-9)


@given(_points)
def test_exponent_is_the_slope_of_scipys_line_through_the_logarithms(points: list[tuple[int, float]]) -> None:
    sizes, costs = zip(*points, strict=True)
    expected = float(linregress(np.log(sizes), np.log(costs)).slope)
    assert math.isclose(exponent(sizes, costs), expected, rel_tol=1e-6, abs_tol=1e-6)


def test_exponent_of_a_power_is_that_power_and_of_one_size_is_refused() -> None:
    assert math.isclose(exponent((10, 100, 1000), [7 * size**1.5 for size in (10, 100, 1000)]), 1.5)
    with pytest.raises(ValueError, match="constant"):
        exponent((10, 10), (1.0, 2.0))


def figure(way: str, size: int, *values: float, base: float = 0.0) -> Figure:
    return Figure("growth", "compile", way, "CPU s", values, "peer", size, base)


def test_ratio_is_median_over_the_peers_median_of_the_same_size() -> None:
    found = [figure("ours", 10, 9.0, 6.0, 7.0), figure("peer", 10, 1.0, 2.0, 9.0), figure("ours", 20, 5.0)]
    assert ratios(found) == [3.5, 1.0, None]


def test_growth_is_fitted_above_the_base_and_only_where_there_are_two_sizes_with_a_cost() -> None:
    squares = [figure("ours", size, 3.0 + size**2, base=3.0) for size in (10, 20, 80)]
    found = fits([*squares, figure("peer", 10, 1.0), *(figure("none", size, 0.5, base=1.0) for size in (10, 20))])
    assert [(fit.way, fit.sizes) for fit in found] == [("ours", (10, 20, 80))]
    assert math.isclose(found[0].exponent, 2)
    assert math.isclose(found[0].last, 2)
