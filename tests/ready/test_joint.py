"""The joint probability against closed forms, products and bounds."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import multivariate_normal, norm

from kb.build import Build
from kb.chance import Settings
from kb.finding import Finding
from kb.judge import judge
from kb.measure import Dimension, Term
from kb.ready.joint import joint
from kb.records.part import Part
from kb.roles import ROLES, car, pan, pickup
from kb.rules._rule import RULES, Case, Limit, Rule, rule

SETTINGS = Settings()
FEW = Settings(draws=20_000)
# Four standard errors of a share of 100 000 draws, at most 4 * sqrt(0.25 / 1e5) = 0.0063 (from the definition).
DRAWN = 4 * math.sqrt(0.25 / SETTINGS.draws)


def made(name: str, function: Any, form: str = "linear", least: float = 0.0) -> Rule:
    """A rule of the tests' own, not left in the catalogue."""
    limit = Limit.at_least(
        least, why="invented", harm="leaks", milestone="prime", fix="invented", source="definition"
    )  # fmt: skip
    found = rule(
        name, "test", "length" if form == "linear" else "number", form, asks="?", limits=(limit,),
        cases=(Case({}, 0.0, True, "none"),),
    )(function)  # fmt: skip
    RULES.pop(name)
    return found


def above(depth: Any = pan.sump_depth, hang: Any = pickup.hang) -> Any:
    """gap = depth - hang"""
    return depth - hang


def below(ground: Any = car.ground, depth: Any = pan.sump_depth) -> Any:
    """gap = ground - depth"""
    return ground - depth


def apart(ground: Any = car.ground) -> Any:
    """gap = ground - 0.3"""
    return ground - 0.3


def deep(depth: Any = pan.sump_depth) -> Any:
    """1 where the sump is deeper than 0.19 m"""
    return 1 if depth > 0.19 else 0


def along(depth: Any = pan.sump_depth, hang: Any = pickup.hang) -> Any:
    """gap = depth - hang at one station, depth - 0.1892 at the other"""
    return [("foot", depth - hang), ("floor", depth - 0.1892)]


ABOVE, BELOW, APART = made("above", above), made("below", below), made("apart", apart)
ALONG = made("along", along, form="stations")
DEEP = made("deep", deep, form="count", least=1.0)


def build(
    depth: tuple[float, float], hang: tuple[float, float], ground: tuple[float, float], shape: str = "normal"
) -> Build:
    def part(name: str, feature: str, value: tuple[float, float], how: str) -> Part:
        dimension = Dimension(value[0], (Term(how, value[1]),) if value[1] else (), "measured")
        return Part(f"a-{name}", ROLES[name].kind.kind, name, facts={feature: dimension})

    parts = {
        "pan": part("pan", "sump_depth", depth, shape),
        "pickup": part("pickup", "hang", hang, "normal"),
        "car": part("car", "ground", ground, "normal"),
    }
    return Build("b", "b", parts)


def found(of: Build, *rules: Rule, settings: Settings = SETTINGS) -> list[Finding]:
    return [judge(each, of, settings) for each in rules]


def test_two_rules_that_share_a_dimension_follow_the_bivariate_normal() -> None:
    # Depth 190 +/- 1, hang 189.5 +/- 0.4, ground 190.6 +/- 0.5 mm: the margins 0.5 and 0.6 mm share the depth with
    # opposite signs, so their covariance is -1 mm^2. Closed form: scipy's bivariate normal (from the definition).
    of = build((0.190, 0.001), (0.1895, 0.0004), (0.1906, 0.0005))
    covariance = [[1.0 + 0.16, -1.0], [-1.0, 1.0 + 0.25]]
    due = multivariate_normal(mean=[-0.5, -0.6], cov=covariance).cdf([0.0, 0.0])
    answer = joint(found(of, ABOVE, BELOW), SETTINGS)
    assert answer.probability == pytest.approx(due, abs=DRAWN)
    assert answer.together == (("above", "below"),)
    alone = math.prod(each.probability or 0.0 for each in found(of, ABOVE, BELOW))
    assert abs(alone - due) > 10 * DRAWN, "taken as independent it would be far off"


def test_a_shared_rectangular_dimension_by_integration() -> None:
    # The depth is 190 mm +/- 1 mm rectangular: given it, the rules are independent, so that the joint probability is
    # the mean of the product over the rectangle (numeric integration with scipy).
    of = build((0.190, 0.001 / math.sqrt(3)), (0.1895, 0.0004), (0.1906, 0.0005), "rectangular")

    def both(depth: float) -> float:
        return float(norm.cdf((depth - 189.5) / 0.4) * norm.cdf((190.6 - depth) / 0.5))

    due = quad(both, 189.0, 191.0)[0] / 2.0
    assert joint(found(of, ABOVE, BELOW), SETTINGS).probability == pytest.approx(due, abs=DRAWN)


def test_independent_rules_multiply_exactly() -> None:
    of = build((0.190, 0.001), (0.1895, 0.0004), (0.3002, 0.0005))
    rows = found(of, ABOVE, APART)
    answer = joint(rows, SETTINGS)
    # Normal margins: 0.5 mm at u = sqrt(1 + 0.16), 0.2 mm at u = 0.5 (from the definition).
    due = norm.cdf(0.5 / math.sqrt(1.16)) * norm.cdf(0.2 / 0.5)
    assert answer.probability == pytest.approx(due, abs=1e-5)
    assert answer.together == ()


def test_one_finding_alone_gives_its_own_probability() -> None:
    only = found(build((0.190, 0.001), (0.1895, 0.0004), (0.3, 0.0)), ABOVE)
    assert joint(only, SETTINGS).probability == only[0].probability


def test_a_rule_that_takes_one_draw_at_a_time() -> None:
    # P(depth > 190 and depth > hang): hang is exact at 189.5, so the first implies the second: 1 - cdf(0) = 0.5.
    of = build((0.190, 0.001), (0.1895, 0.0), (0.3, 0.0))
    answer = joint(found(of, ABOVE, DEEP), SETTINGS)
    # A share of a few thousand draws: four standard errors of 2000 are 0.045 (from the definition).
    assert answer.probability == pytest.approx(0.5, abs=0.045)
    assert answer.together == (("above", "deep"),)


def test_a_rule_over_stations_is_drawn_by_its_linear_models() -> None:
    # Margins 0.5, 0.8 and 0.6 mm that all share the depth (u = 1 mm): P that all three hold, as the integral over the
    # depth of the normal density times the chance of what is left (numeric integration with scipy).
    of = build((0.190, 0.001), (0.1895, 0.0004), (0.1906, 0.0005))
    rows = found(of, ALONG, BELOW)
    assert rows[0].method == "stations"

    def density(depth: float) -> float:
        inside = norm.cdf((depth - 189.5) / 0.4) * norm.cdf((190.6 - depth) / 0.5)
        return float(norm.pdf(depth - 190.0) * inside) if depth >= 189.2 else 0.0

    due = quad(density, 189.2, 196.0)[0]
    answer = joint(rows, SETTINGS)
    assert answer.together == (("along", "below"),)
    assert answer.probability == pytest.approx(due, abs=DRAWN)


def test_what_is_sure_is_left_out_and_what_is_hopeless_decides() -> None:
    sure = build((0.190, 0.001), (0.150, 0.0004), (0.190, 0.0005))
    answer = joint(found(sure, ABOVE, BELOW), SETTINGS)
    assert answer.together == ()  # the margin of `above` is 40 mm, some 37 standard uncertainties
    assert answer.probability == pytest.approx(0.5, abs=1e-5)  # `below` stands at its limit, symmetric
    lost = build((0.190, 0.0), (0.195, 0.0), (0.195, 0.001))
    assert joint(found(lost, ABOVE, BELOW), SETTINGS).probability == 0.0


def test_what_cannot_be_computed_is_counted_apart() -> None:
    of = build((0.190, 0.001), (0.1895, 0.0004), (0.3, 0.0))
    bare = of._replace(parts={**of.parts, "car": of.parts["car"]._replace(facts={})})
    answer = joint(found(bare, ABOVE, BELOW), SETTINGS)
    assert (answer.counted, answer.not_counted) == (1, 1)
    assert answer.probability == found(of, ABOVE)[0].probability
    nothing = joint(found(bare, BELOW), SETTINGS)
    assert (nothing.probability, nothing.counted, nothing.not_counted) == (None, 0, 1)
    assert joint([], SETTINGS).probability is None


def test_the_same_settings_give_the_same_figure_in_any_order() -> None:
    of = build((0.190, 0.001), (0.1895, 0.0004), (0.1906, 0.0005))
    rows = found(of, ABOVE, BELOW)
    first = joint(rows, SETTINGS).probability
    assert joint(rows, SETTINGS).probability == first
    assert joint(rows[::-1], SETTINGS).probability == first
    assert joint(rows, Settings(seed=2)).probability != first


@settings(max_examples=25, deadline=None)
@given(
    depth=st.floats(0.188, 0.192),
    hang=st.floats(0.188, 0.192),
    ground=st.floats(0.188, 0.192),
    u=st.floats(1e-4, 2e-3),
)
def test_it_lies_between_the_bounds_that_any_dependence_allows(
    depth: float, hang: float, ground: float, u: float
) -> None:
    rows = found(build((depth, u), (hang, 3e-4), (ground, 5e-4)), ABOVE, BELOW, settings=FEW)
    p = [each.probability or 0.0 for each in rows]
    answer = joint(rows, FEW).probability
    assert answer is not None
    slack = 4 * math.sqrt(0.25 / FEW.draws)
    assert max(0.0, sum(p) - 1.0) - slack <= answer <= min(p)  # Frechet's bounds
