"""Probabilities of many combinations at once, against the sums of one and against draws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb import many, stations
from kb.measure import Term
from kb.sums import p_between

SEEDS = st.integers(0, 2**32 - 1)


def test_the_normal_cdf() -> None:
    # Abramowitz and Stegun, table 26.1.
    assert many.normal_cdf([0.0, 1.0, -1.96, 3.0]) == pytest.approx(
        [0.5, 0.8413447461, 0.0249978951, 0.9986501020], abs=5e-8
    )
    assert many.normal_cdf([-math.inf, math.inf]) == pytest.approx([0.0, 1.0], abs=1e-15)
    grid = np.linspace(-9, 9, 40_001)
    exact = np.array([0.5 * math.erfc(-z / math.sqrt(2)) for z in grid])
    assert np.abs(many.normal_cdf(grid) - exact).max() < 5e-8


@settings(max_examples=40, deadline=None)
@given(seed=SEEDS, normal=st.booleans(), rectangles=st.integers(0, 5))
def test_rows_equal_the_sum_of_one(seed: int, normal: bool, rectangles: int) -> None:
    rng = np.random.default_rng(seed)
    count = 12
    variance = rng.uniform(0.01, 1.0, count) ** 2 * normal
    halves = rng.uniform(0.0, 1.0, (count, rectangles)) * (rng.random((count, rectangles)) < 0.9)
    mean, low = rng.normal(0, 1, count), rng.uniform(-2, 0.5, count)
    high = low + rng.uniform(0, 3, count)
    high[0], low[1] = math.inf, -math.inf
    found = many.p_between(mean, variance, halves, low, high)
    for at in range(count):
        terms = [Term("normal", math.sqrt(variance[at]))] * normal
        terms += [Term("rectangular", half / math.sqrt(3)) for half in halves[at]]
        # 1e-4: what `many` states; kb.sums states 1e-5.
        assert found[at] == pytest.approx(p_between(mean[at], terms, low[at], high[at]), abs=1.2e-4)


def test_no_error_is_inside_or_outside() -> None:
    assert many.p_between([1.0, 1.0, 2.1], 0.0, np.zeros((3, 0)), 1.0, 2.0).tolist() == [1.0, 1.0, 0.0]


@settings(max_examples=25, deadline=None)
@given(
    seed=SEEDS,
    shape=st.sampled_from(["normal", "rectangular"]),
    side=st.sampled_from(["low", "high", "both"]),
    wide=st.floats(0.02, 20.0),
)
def test_stations_equal_those_of_one_combination(seed: int, shape: str, side: str, wide: float) -> None:
    rng = np.random.default_rng(seed)
    count, number = 6, int(rng.integers(1, 12))
    own = rng.uniform(0.3, 1.0, (count, number)) * 0.05
    u = 0.05 * wide
    low = -math.inf if side == "high" else 0.0
    high = math.inf if side == "low" else 0.5
    mean = rng.normal(0.2, 0.15, (count, 1)) + rng.normal(0, 0.05, (count, number))
    found = many.p_all_stations(mean, own, u, low, high, shape=shape)
    for at in range(count):
        forms = [stations.Form(float(mean[at, s]), {"shared": 1.0, f"own {s}": 1.0}, low, high) for s in range(number)]
        errors = {
            "shared": [Term(shape, u)],
            **{f"own {s}": [Term("normal", float(own[at, s]))] for s in range(number)},
        }
        assert found[at] == pytest.approx(stations.p_all_stations(forms, errors).p, abs=1e-3)


def test_stations_of_very_different_errors_equal_draws() -> None:
    """One station is next to exact beside the others: 200,000 draws, standard error 0.0011."""
    rng = np.random.default_rng(5)
    own = np.array([[0.2, 0.004, 0.1]])
    mean = np.array([[0.25, 0.05, 0.2]])
    drawn = mean[0] + rng.normal(0, 0.05, (200_000, 1)) + rng.normal(0, own[0], (200_000, 3))
    assert many.p_all_stations(mean, own, 0.05, 0.0)[0] == pytest.approx((drawn >= 0).all(axis=1).mean(), abs=0.005)


def test_exact_stations_under_an_uncertain_shared_error() -> None:
    # P(0.1 + N(0, 0.1) >= 0) = Phi(1) = 0.8413447461 (Abramowitz and Stegun, table 26.1): the worst station decides.
    assert many.p_all_stations([[0.1, 0.3]], [0.0, 0.0], 0.1, 0.0)[0] == pytest.approx(0.8413447461, abs=1e-3)
    assert many.p_all_stations([[0.1, 0.3]], [0.0, 0.0], 0.0, 0.0, 0.5)[0] == pytest.approx(1.0, abs=1e-6)
    assert many.p_all_stations([[-0.1, 0.3]], [0.0, 0.0], 0.0, 0.0, 0.5)[0] == pytest.approx(0.0, abs=1e-6)


def test_bad_uncertainties_are_refused() -> None:
    with pytest.raises(ValueError, match="zero or more"):
        many.p_all_stations([[0.1]], [-0.1], 0.1)
    with pytest.raises(ValueError, match="normal or rectangular"):
        many.p_all_stations([[0.1]], [0.1], 0.1, shape="triangular")
