"""Probability of conformity: every shortcut against an independent computation."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from kb.chance import (
    Chance,
    Form,
    Needed,
    Settings,
    Sum,
    draw,
    monte_carlo,
    needed_u,
    normal_cdf,
    normal_inverse,
    p_all_stations,
    p_between,
    p_linear,
    p_smooth,
    propagate,
    shares,
    verdict_of,
)
from kb.errors import Fault
from kb.measure import SHAPES, Dimension, Term, standard_uncertainty

INF = math.inf
DRAWS = 1_000_000  # standard error of a share: at most 0.0005


def rect(half: float) -> Term:
    return Term("rectangular", standard_uncertainty(half))


def normal(u: float) -> Term:
    return Term("normal", u)


def errors(rng: np.random.Generator, terms: Sequence[Term], count: int = DRAWS) -> Any:
    """Drawn from the definition of each shape, without the package's own draws."""
    total = np.zeros(count)
    for shape, u in terms:
        if shape == "normal":
            total += rng.normal(0, u, count)
        elif shape == "rectangular":
            total += rng.uniform(-1, 1, count) * u * math.sqrt(3)
        else:
            total += rng.triangular(-1, 0, 1, count) * u * math.sqrt(6)
    return total


def convolved(terms: Sequence[Term], at: float) -> float:
    """P(sum <= at) from the product of numpy-computed characteristic functions on a very wide, fine grid."""
    u = math.sqrt(sum(t.u**2 for t in terms))
    half_period, k = 14 * u, np.arange(1, 300_000)
    t = k * np.pi / half_period
    phi = np.ones_like(t)
    for shape, own in terms:
        if shape == "normal":
            phi *= np.exp(-0.5 * (own * t) ** 2)
        elif shape == "rectangular":
            phi *= np.sinc(own * math.sqrt(3) * t / np.pi)
        else:
            phi *= np.sinc(own * math.sqrt(6) / 2 * t / np.pi) ** 2
    return float(0.5 + at / (2 * half_period) + np.sum(phi * np.sin(t * at) / (np.pi * k)))


# --- the normal distribution ----------------------------------------------------------------------------------


def test_probability_that_a_normal_margin_is_positive() -> None:
    # unc-09: P = Phi(mean / sigma); computed with scipy
    assert p_between(0.5, [normal(0.25)], 0.0, INF) == pytest.approx(0.97725, abs=1e-5)


@given(st.floats(-37, 8))
def test_normal_cdf_keeps_its_lower_tail(z: float) -> None:
    assert normal_cdf(z) == pytest.approx(stats.norm.cdf(z), rel=1e-11)


@given(st.floats(1e-300, 1 - 1e-9))
def test_normal_inverse(p: float) -> None:
    assert normal_inverse(p) == pytest.approx(stats.norm.ppf(p), rel=1e-9, abs=1e-9)


def test_normal_inverse_at_and_beyond_the_ends() -> None:
    assert (normal_inverse(0.0), normal_inverse(1.0), normal_inverse(0.5)) == (-INF, INF, pytest.approx(0, abs=1e-15))
    for p in (-0.1, 1.1, math.nan):
        with pytest.raises(ValueError, match="between 0 and 1"):
            normal_inverse(p)


# --- sums of errors -------------------------------------------------------------------------------------------

terms_lists = st.lists(
    st.builds(Term, st.sampled_from(SHAPES), st.floats(-4, 0).map(lambda power: 10**power)), min_size=1, max_size=8
)


@settings(max_examples=60, deadline=None)
@given(terms_lists, st.floats(-3.5, 3.5))
def test_any_mix_agrees_with_numeric_convolution(terms: list[Term], where: float) -> None:
    u = Sum(terms).u
    if sum(t.shape == "normal" for t in terms) == 0 and len(terms) == 1 and terms[0].shape == "rectangular":
        # The oracle's series rings at a rectangle's ends: here the definition is the better oracle.
        expected = min(max(0.5 + where / (2 * math.sqrt(3)), 0.0), 1.0)
    else:
        expected = convolved(terms, where * u)
    # The oracle's own error beside a nearly bare rectangle is what the tolerance is for.
    assert Sum(terms).cdf(where * u) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("count", [2, 3, 5, 6, 8, 12])
def test_equal_rectangles_are_the_irwin_hall_distribution(count: int) -> None:
    at = [0.3 * count, 0.5 * count + 0.31, 0.8 * count]
    for x in at:
        # Irwin and Hall's formula for the sum of uniforms on 0..1
        parts = [(-1) ** k * math.comb(count, k) * (x - k) ** count for k in range(math.floor(x) + 1)]
        expected = math.fsum(parts) / math.factorial(count)
        assert Sum([rect(0.5)] * count).cdf(x - count / 2) == pytest.approx(expected, abs=2e-8)


def test_small_terms_beside_a_large_one_do_not_spoil_the_sum() -> None:
    for small in (1e-12, 1e-9, 1e-6, 1e-4, 3e-3, 1e-2):
        for shape in SHAPES:
            for count in (1, 4, 9):
                terms = [rect(1.0), *[Term(shape, small)] * count]
                # far from the ends, small errors leave the large rectangle's chance as it is: by definition
                assert p_between(0.0, terms, -0.5, 0.25) == pytest.approx(0.375, abs=3e-5)


def test_screen_by_bounded_supports_is_exact() -> None:
    terms = [rect(0.1), Term("triangular", standard_uncertainty(0.2, "triangular"))]
    assert p_between(1.0, terms, 0.69, 1.31) == 1.0
    assert p_between(1.0, terms, 1.31, 2.0) == 0.0
    assert p_between(1.0, [*terms, normal(0.01)], 0.69, 1.31) < 1.0


def test_exact_values_meet_inclusive_limits() -> None:
    assert p_between(1.5, [], 1.5, 9.5) == 1.0
    assert p_between(9.5, [normal(0.0)], 1.5, 9.5) == 1.0
    assert p_between(1.4999, [], 1.5, 9.5) == 0.0
    assert p_between(2.0, [], 3.0, 1.0) == 0.0


@settings(deadline=None)
@given(terms_lists, st.floats(-2, 2), st.floats(-3, 3), st.floats(0, 3), st.floats(0, 3))
def test_probability_laws(terms: list[Term], mean: float, low: float, width: float, more: float) -> None:
    p = p_between(mean, terms, low, low + width)
    assert 0.0 <= p <= 1.0
    assert p_between(mean, terms, low, low + width + more) >= p - 1e-7
    assert p_between(mean, terms, low - more, low + width) >= p - 1e-7
    assert p_between(-mean, terms, -low - width, -low) == pytest.approx(p, abs=1e-7)
    both = p_between(mean, terms, -INF, low) + p_between(mean, terms, low, INF)
    assert both == pytest.approx(1.0, abs=1e-7)


@pytest.mark.parametrize("terms", [[normal(1)], [rect(1), normal(0.1)], [rect(1)] * 3, [rect(1), normal(0.2)] * 4])
def test_density_is_the_slope_of_the_cdf(terms: list[Term]) -> None:
    whole, h = Sum(terms), 1e-5
    for x in (-1.2, -0.3, 0.0, 0.7):
        slope = (whole.cdf(x + h) - whole.cdf(x - h)) / (2 * h)
        assert whole.density(x) == pytest.approx(slope, rel=1e-4)


def test_nan_and_unknown_shapes_are_refused() -> None:
    with pytest.raises(ValueError, match="numbers"):
        p_between(math.nan, [normal(1)], 0, 1)
    with pytest.raises(ValueError, match="shape"):
        p_between(0.0, [Term("cauchy", 1.0)], 0, 1)
    with pytest.raises(ValueError, match="density"):
        Sum([]).density(0.0)


def test_linear_stack_agrees_with_draws() -> None:
    dims = [
        Dimension(190.0, (rect(1.0),)),
        Dimension(1.5, (normal(0.1), rect(0.2))),
        Dimension(184.0, (Term("triangular", 0.4),)),
    ]
    coeffs = [1.0, 1.0, -1.0]
    rng = np.random.default_rng(3)
    gap = sum(c * (d.value + errors(rng, d.terms)) for c, d in zip(coeffs, dims, strict=True))
    for low, high in ((6.4, 9.5), (1.5, 7.0), (7.2, 7.9)):
        share = float(np.mean((gap >= low) & (gap <= high)))
        assert p_linear(coeffs, dims, low, high) == pytest.approx(share, abs=0.002)
    assert p_linear([2.0], [Dimension(1.0)], 4.0, 4.0, constant=2.0) == 1.0


def test_taking_rectangular_errors_as_normal_flips_a_verdict() -> None:
    mean, limit, half = 0.10, 0.003, 0.1
    # by definition: (0.2 - 0.003) / 0.2 = 0.985, and Phi(0.097 / 0.0577) = 0.9535
    right = p_between(mean, [rect(half)], limit, INF)
    wrong = p_between(mean, [normal(standard_uncertainty(half))], limit, INF)
    assert right == pytest.approx(0.985)
    assert wrong == pytest.approx(0.9535, abs=1e-3)
    assert (verdict_of(right), verdict_of(wrong)) == ("fits", "cannot tell")


# --- first-order propagation ----------------------------------------------------------------------------------


def test_end_gauge() -> None:
    # unc-01: JCGM 100 annex H.1; 50000838 nm, u = 31.7 nm to first order (published 32 nm)
    def length(
        ls: float, d: float, d1: float, d2: float, alpha: float, da: float, dt: float, mean: float, cycle: float
    ) -> float:
        return ls + d + d1 + d2 - ls * (da * (mean + cycle) + alpha * dt)

    values = [50000623.0, 215.0, 0.0, 0.0, 1.15e-5, 0.0, 0.0, -0.1, 0.0]
    us = [25.0, 5.8, 3.9, 6.7, standard_uncertainty(2e-6), standard_uncertainty(1e-6), standard_uncertainty(0.05), 0.2,
          standard_uncertainty(0.5, "arcsine")]  # fmt: skip
    found = propagate(length, values, us)
    assert found.value == pytest.approx(50000838.0, abs=0.5)
    assert found.u == pytest.approx(31.7, abs=0.4)
    assert sum(shares(found.slopes, us)) == pytest.approx(1.0)
    # the master gauge has the largest share: 25^2 / 31.7^2, derived from the published figures
    assert shares(found.slopes, us)[0] == pytest.approx(0.62, abs=0.02)


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(-3, 3), st.floats(0.5, 5), st.floats(0.01, 0.2)), min_size=1, max_size=5))
def test_propagation_of_a_power_law(rows: list[tuple[float, float, float]]) -> None:
    powers, values, relative = ([row[i] for row in rows] for i in range(3))
    us = [v * r for v, r in zip(values, relative, strict=True)]
    found = propagate(lambda *x: math.prod(a**p for a, p in zip(x, powers, strict=True)), values, us)
    # JCGM 100 5.1.6: relative variances add, weighted with the squared powers
    expected = found.value * math.sqrt(sum((p * r) ** 2 for p, r in zip(powers, relative, strict=True)))
    assert found.u == pytest.approx(expected, rel=1e-4, abs=1e-9)


def test_first_order_misses_a_quarter_of_the_spread_of_a_weighed_mass() -> None:
    # JCGM 101 clause 9.3, inputs and both results from memory: 0.0539 mg to first order, 0.0754 mg by draws
    def mass(reference: float, added: float, air: float, test: float, weight: float) -> float:
        return (reference + added) * (1 + (air - 1.2) * (1 / test - 1 / weight)) - 100_000.0

    values = [100_000.0, 1.234, 1.2, 8000.0, 8000.0]
    terms = [(normal(0.05),), (normal(0.02),), (rect(0.1),), (rect(1000.0),), (rect(50.0),)]
    first = propagate(mass, values, [group[0].u for group in terms])
    assert first.value == pytest.approx(1.234, abs=1e-6)
    assert first.u == pytest.approx(0.0539, abs=1e-4)
    drawn = monte_carlo(mass, values, terms, draws=DRAWS, seed=4).values
    assert float(np.std(drawn)) == pytest.approx(0.0754, abs=4e-4)
    # The bilinear term is invisible at the nominal values; the answer may be off, and then it must say so.
    chance = p_smooth(mass, values, terms, 1.234 - 0.11, 1.234 + 0.11)
    share = float(np.mean(np.abs(drawn - 1.234) <= 0.11))
    assert not chance.trusted or chance.p == pytest.approx(share, abs=0.005)


# --- smooth quantities ----------------------------------------------------------------------------------------

Quantity = tuple[str, Callable[..., Any], list[float]]
QUANTITIES: list[Quantity] = [
    ("squeeze", lambda cord, depth: (cord - depth) / cord, [3.53, 2.8]),
    ("annulus", lambda outer, inner: math.pi / 4 * (outer**2 - inner**2), [20.0, 12.0]),
    ("pressure drop", lambda flow, length, bore: flow * length / bore**4, [1.0, 1.0, 1.0]),
    ("losses", lambda q, run, mu, d, k, e: mu * q * run / d**4 + k * q**2 / d**4 + e, [1.0, 1.0, 1.0, 1.0, 0.3, 0.1]),
    ("nozzle", lambda flow, density, area: flow / (area * density**0.5), [1.0, 0.8, 1.2]),
    ("curtain", lambda foot, gap, bore: 4 * foot * gap / bore**2, [76.0, 6.4, 15.9]),
    ("six", lambda a, b, c, d, e, f: a * b * c / d / e * f**0.5, [1.0] * 6),
]


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda q: q[0])
@pytest.mark.parametrize("spread", [0.01, 0.1, 0.2])
def test_smooth_quantities_agree_with_draws(quantity: Quantity, spread: float) -> None:
    _, f, values = quantity
    rng = np.random.default_rng(int(1000 * spread) + len(values))
    trusted = 0
    for _ in range(4):
        # `spread` is two standard uncertainties of the widest inputs, as in "bore known to 20 %"
        terms = [(Term(SHAPES[rng.integers(3)], v * spread / 2 * rng.uniform(0.3, 1)),) for v in values]
        y = f(*(v + errors(rng, group) for v, group in zip(values, terms, strict=True)))
        low, high = np.quantile(y, [rng.uniform(0.005, 0.4), rng.uniform(0.6, 0.995)])
        for limits in ((low, high), (low, INF), (-INF, high)):
            chance = p_smooth(f, values, terms, *map(float, limits))
            share = float(np.mean((y >= limits[0]) & (y <= limits[1])))
            assert abs(chance.p - share) <= max(chance.error, 0.0) + 0.004
            if chance.trusted:
                trusted += 1
                assert chance.p == pytest.approx(share, abs=0.005)
            assert chance.evaluations <= 75
    assert trusted >= 9  # of 12: it must be of use, not only careful


def test_linear_functions_are_answered_exactly() -> None:
    terms = [(rect(0.1),), (rect(0.05), normal(0.02)), (rect(0.03),), ()]
    chance = p_smooth(lambda a, b, c, d: a - b - c - d, [40.0, 25.0, 2.0, 10.0], terms, 2.9, 3.2)
    exact = p_between(3.0, [term for group in terms for term in group], 2.9, 3.2)
    assert chance.p == pytest.approx(exact, abs=1e-9)
    assert (chance.how, chance.error) == ("linear", 0.0)
    assert chance.slopes[3] == 0.0


def test_one_uncertain_input_is_answered_through_its_own_limits() -> None:
    # 1/d^4 <= 2 is d >= 2^(-1/4): exact by definition, however bent the function
    for term in (normal(0.1), rect(0.3), Term("triangular", 0.12)):
        chance = p_smooth(lambda d: d**-4, [1.0], [(term,)], -INF, 2.0)
        assert chance.p == pytest.approx(p_between(1.0, [term], 2**-0.25, INF), abs=1e-3)


def test_bounded_supports_are_respected() -> None:
    seen: list[float] = []

    def root(x: float, y: float) -> float:
        seen.append(x)
        return (x - 0.9) ** 0.5 + y

    chance = p_smooth(root, [1.0, 0.0], [(rect(0.1),), (rect(0.05),)], 0.1, INF)
    assert min(seen) >= 0.9
    assert max(seen) <= 1.1
    assert 0.9 < chance.p < 1.0


def test_what_cannot_be_trusted_says_so() -> None:
    two = [(normal(1.0),), (normal(1.0),)]
    folded = p_smooth(lambda a, b: a * a + b * b, [0.0, 0.0], two, -INF, 1.0)
    assert not folded.trusted
    bent = p_smooth(lambda a, b: abs(a - b), [1.0, 1.2], two, 0.5, INF)
    assert not bent.trusted
    nowhere = p_smooth(lambda a, b: (a - 5.0) ** 0.5 + b, [1.0, 1.0], two, 0.0, 1.0)
    assert math.isnan(nowhere.p)
    assert not nowhere.trusted
    assert verdict_of(nowhere.p) == "cannot tell"
    with pytest.raises(ValueError, match="numbers"):
        p_smooth(lambda a: a, [1.0], [(normal(1),)], math.nan, 1.0)
    with pytest.raises(ValueError, match="2 values"):
        p_smooth(lambda a, b: a, [1.0, 1.0], [(normal(1),)], 0.0, 1.0)


def test_a_product_that_is_flat_at_its_nominal_values_is_not_taken_as_flat() -> None:
    assert not p_smooth(lambda a, b: a * b, [0.0, 0.0], [(normal(1.0),), (rect(1.0),)], -0.1, 0.1).trusted


def test_flat_and_exact_functions() -> None:
    assert p_smooth(lambda a: 3.0, [1.0], [(normal(1.0),)], 2.0, 4.0)[:2] == (1.0, 0.0)
    assert p_smooth(lambda a: a, [1.0], [()], 1.0, 1.0)[:3] == (1.0, 0.0, "exact")


# --- several stations at once ---------------------------------------------------------------------------------


def lands(own: Sequence[Term], shared: Sequence[Term], count: int = 12) -> tuple[list[Form], dict[str, Sequence[Term]]]:
    forms = [Form(0.12 + 0.008 * i, {"thickness": 1.0, f"step {i}": -1.0}, 0.05, 0.4) for i in range(count)]
    return forms, {"thickness": shared, **{f"step {i}": own for i in range(count)}}


def drawn_stations(forms: Sequence[Form], by_key: dict[str, Sequence[Term]]) -> float:
    rng = np.random.default_rng(8)
    drawn = {key: errors(rng, terms) for key, terms in by_key.items()}
    held = np.ones(DRAWS, dtype=bool)
    for form in forms:
        y = form.mean + sum(c * drawn[key] for key, c in form.coeffs.items())
        held &= (y >= form.low) & (y <= form.high)
    return float(held.mean())


@pytest.mark.parametrize("own", [[normal(0.02)], [rect(0.03)], [rect(0.03), normal(0.005)], [normal(1e-4)], []])
@pytest.mark.parametrize("shared", [[normal(0.05)], [rect(0.1)], [rect(0.06), normal(0.02)]])
def test_minimum_over_lands_with_a_shared_thickness(own: list[Term], shared: list[Term]) -> None:
    forms, by_key = lands(own, shared)
    chance = p_all_stations(forms, by_key)
    assert chance.trusted
    assert chance.p == pytest.approx(drawn_stations(forms, by_key), abs=0.002)


def test_shared_errors_in_one_proportion_are_one_error() -> None:
    forms = [Form(0.1, {"a": 1.0, "b": -2.0, f"o{i}": 1.0}, 0.0) for i in range(4)]
    by_key = {"a": [rect(0.05)], "b": [normal(0.02)], **{f"o{i}": [rect(0.04)] for i in range(4)}}
    chance = p_all_stations(forms, by_key)
    assert chance.how == "conditioned"
    assert chance.p == pytest.approx(drawn_stations(forms, by_key), abs=0.002)


def test_independent_stations_multiply_and_groups_are_found() -> None:
    forms = [Form(1.0, {str(i): 1.0}, 0.0) for i in range(12)]
    by_key = {str(i): [normal(1.0)] for i in range(12)}
    # by definition: Phi(1)^12 = 0.1260; a minimum taken as linear follows one land only and says Phi(1) = 0.8413
    chance = p_all_stations(forms, by_key)
    assert chance.p == pytest.approx(stats.norm.cdf(1.0) ** 12, abs=1e-9)
    linear = p_between(1.0, [normal(1.0)], 0.0, INF)
    assert linear - chance.p > 0.7

    pairs = [Form(1.0, {"left": 1.0}, 0.0), Form(1.1, {"left": 1.0}, 0.0), Form(1.0, {"right": 1.0}, 0.0)]
    both = p_all_stations(pairs, {"left": [normal(1.0)], "right": [normal(1.0)]})
    assert both.p == pytest.approx(stats.norm.cdf(1.0) ** 2, abs=1e-4)


@pytest.mark.parametrize("mean", [0.0, 0.1, 0.3])
def test_several_shared_errors_give_bounds(mean: float) -> None:
    by_key = {"a": [normal(0.05)], "b": [normal(0.05)], "c": [rect(0.02)]}
    forms = [Form(mean, {"a": 1.0, "b": float(i), "c": 1.0}, 0.0) for i in range(3)]
    chance = p_all_stations(forms, by_key)
    assert chance.how == "bounds"
    assert abs(chance.p - drawn_stations(forms, by_key)) <= chance.error + 0.002
    assert chance.trusted == (chance.error <= 0.005)


def test_stations_without_errors_or_none_at_all() -> None:
    assert p_all_stations([], {}).p == 1.0
    assert p_all_stations([Form(1.0, {}, 0.0), Form(1.0, {}, 1.0)], {}).p == 1.0
    assert p_all_stations([Form(1.0, {}, 0.0), Form(1.0, {}, 1.1)], {}).p == 0.0
    with pytest.raises(KeyError):
        p_all_stations([Form(1.0, {"gone": 1.0}, 0.0)], {})


# --- draws ----------------------------------------------------------------------------------------------------


def test_draws_of_a_name_do_not_depend_on_company_or_order() -> None:
    depth, cord = Dimension(2.8, (rect(0.05),)), Dimension(3.53, (normal(0.02), rect(0.01)))
    both = draw({"groove.depth": depth, "seal.cord": cord}, draws=1000, seed=7)
    turned = draw({"seal.cord": cord, "groove.depth": depth}, draws=1000, seed=7)
    alone = draw({"seal.cord": cord}, draws=1000, seed=7)
    assert np.array_equal(both["seal.cord"], turned["seal.cord"])
    assert np.array_equal(both["seal.cord"], alone["seal.cord"])
    assert not np.array_equal(both["seal.cord"], draw({"seal.cord": cord}, draws=1000, seed=8)["seal.cord"])
    assert abs(np.corrcoef(both["seal.cord"], both["groove.depth"])[0, 1]) < 0.1
    rule = monte_carlo(lambda d, c: c - d, [2.8, 3.53], [depth.terms, cord.terms], draws=1000, seed=7,
                       keys=["groove.depth", "seal.cord"])  # fmt: skip
    assert rule.values == pytest.approx(both["seal.cord"] - both["groove.depth"], abs=1e-12)


@pytest.mark.parametrize("shape", SHAPES)
def test_drawn_errors_have_their_shape(shape: str) -> None:
    drawn = draw({"x": Dimension(0.0, (Term(shape, 0.5),))}, draws=200_000, seed=2)["x"]
    u = 0.5
    expected = {
        "normal": stats.norm(0, u),
        "rectangular": stats.uniform(-u * math.sqrt(3), 2 * u * math.sqrt(3)),
        "triangular": stats.triang(0.5, -u * math.sqrt(6), 2 * u * math.sqrt(6)),
    }[shape]
    assert stats.kstest(drawn, expected.cdf).statistic < 0.004  # 1.63 / sqrt(200000): one seed in a hundred


def test_one_at_a_time_gives_the_same_as_arrays() -> None:
    arguments: tuple[Any, ...] = ([3.0, 1.0], [(rect(1.0),), (normal(0.1),)])
    f = lambda a, b: a / b  # noqa: E731
    fast = monte_carlo(f, *arguments, draws=500, seed=3)
    slow = monte_carlo(f, *arguments, draws=500, seed=3, vectorised=False)
    assert np.allclose(fast.values, slow.values)
    p, error = fast.p(2.5, 3.5)
    assert 0 < p < 1
    assert error == pytest.approx(math.sqrt(p * (1 - p) / 500), rel=0.02)


def test_draws_without_a_real_value_lie_outside() -> None:
    half_defined = monte_carlo(lambda x: (x) ** 0.5, [0.0], [(rect(1.0),)], draws=4000, seed=3, vectorised=False)
    assert half_defined.p(-INF, INF)[0] == pytest.approx(0.5, abs=0.03)
    constant = monte_carlo(lambda x: 2.0, [0.0], [(rect(1.0),)], draws=10, seed=3)
    assert constant.p(2.0, 2.0)[0] == 1.0
    assert constant.p(2.0, 2.0)[1] > 0.0


# --- the decision ---------------------------------------------------------------------------------------------


def test_verdicts_are_inclusive_at_their_thresholds() -> None:
    # JCGM 106 decision rule with the product's thresholds
    assert [verdict_of(p) for p in (0.975, 0.9749, 0.0251, 0.025)] == [
        "fits",
        "cannot tell",
        "cannot tell",
        "does not fit",
    ]
    assert verdict_of(0.9, Settings(fits_at=0.9)) == "fits"


@pytest.mark.parametrize(
    "bad", [{"fits_at": 0.02}, {"fits_at": 1.2}, {"not_at": -0.1}, {"not_at": math.nan}, {"draws": 0}, {"seed": -1}]
)
def test_settings_without_sense_are_refused(bad: dict[str, Any]) -> None:
    with pytest.raises(Fault) as caught:
        Settings(**bad)
    assert "give" in caught.value.step


def test_needed_accuracy_settles_the_verdict_and_no_less() -> None:
    mean, terms = 0.1, [(rect(0.3),), (normal(0.02),)]
    need = needed_u(mean, [1.0, 1.0], terms, 0, 0.0, INF)
    assert isinstance(need, Needed)
    assert need.verdict == "fits"
    others = [normal(0.02)]
    assert p_between(mean, [*others, Term("rectangular", need.u)], 0.0, INF) >= 0.975
    assert p_between(mean, [*others, Term("rectangular", need.u * 1.01)], 0.0, INF) < 0.975
    # the other input alone cannot settle it: the first one's +/- 0.3 remains
    assert needed_u(mean, [1.0, 1.0], terms, 1, 0.0, INF) is None


def test_needed_accuracy_when_the_value_is_outside() -> None:
    need = needed_u(-0.1, [2.0], [(rect(0.3),)], 0, 0.0, INF)
    assert need is not None
    assert need.verdict == "does not fit"
    # by definition: 2.5 % of a rectangle of half width 2a above 0.1 leaves 0.1 = 0.95 * 2a
    assert need.u == pytest.approx(0.1 / 0.95 / 2 / math.sqrt(3), rel=2e-3)


def test_a_settled_question_needs_nothing_better() -> None:
    need = needed_u(1.0, [1.0], [(normal(0.1),)], 0, 0.0, INF)
    assert need == Needed(0.1, "fits")


def test_shares_of_an_exact_quantity_are_zero() -> None:
    assert shares([1.0, 2.0], [0.0, 0.0]) == [0.0, 0.0]
    assert Chance(0.5, 0.006, "surface").trusted is False
