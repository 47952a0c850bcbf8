"""Every expected number names its origin; ids such as hyd-01 are those of the shared check values."""

from __future__ import annotations

import math

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import UnknownName
from kb.standards import hydraulics as hyd


def test_laminar_drop_of_a_long_pipe() -> None:
    # hyd-01: Hagen-Poiseuille; textbook (Bansal)
    assert hyd.laminar_drop(3.5e-3, 0.05, 300, 0.1) / 1e3 == pytest.approx(684.494, rel=1e-3)
    assert hyd.tube_drop(3.5e-3, 0.05, 300, 900, 0.1, 1e-5) / 1e3 == pytest.approx(684.494, rel=1e-3)


def test_wall_shear() -> None:
    # hyd-02: tau = dp D / 4L
    drop = hyd.laminar_drop(3.5e-3, 0.05, 300, 0.1)
    assert hyd.wall_shear(drop, 0.05, 300) == pytest.approx(28.5206, rel=1e-3)


def test_colebrook_value() -> None:
    # hyd-03: Colebrook-White, computed with fluids 1.3.1
    assert hyd.friction_factor(1e5, 1e-4) == pytest.approx(0.0185139, rel=1e-3)


def test_laminar_edge() -> None:
    # hyd-05: 64/Re, no effect of roughness
    assert hyd.friction_factor(2000.0, 1e-4) == pytest.approx(0.032, rel=1e-12)
    assert hyd.friction_factor(2000.0, 0.05) == 64 / 2000


def test_cold_oil_suction_tube() -> None:
    viscosity = 1500e-6 * 880
    flow = 8e-3 / 60
    # hyd-06: Hagen-Poiseuille
    assert hyd.laminar_drop(flow, 0.016, 0.3, viscosity) / 1e3 == pytest.approx(32.8257, rel=2e-3)
    assert hyd.tube_drop(flow, 0.016, 0.3, 880, viscosity, 1.5e-6) / 1e3 == pytest.approx(32.8257, rel=2e-3)
    number = hyd.reynolds(hyd.velocity(flow, 0.016), 0.016, 880, viscosity)
    assert number == pytest.approx(7, abs=0.1)  # hyd-06, note


def test_entrance_losses() -> None:
    # hyd-08: Potter and Wiggert table 7.2
    found = [hyd.entrance_loss(shape) for shape in ("square-edged", "re-entrant", "well-rounded")]
    assert found == pytest.approx([0.5, 0.8, 0.03], abs=0.001)
    assert hyd.entrance_loss("square-edged", 1e9) == pytest.approx(0.5)
    assert hyd.entrance_loss("square-edged", 16.0) == pytest.approx(10.5)  # Hooper: 160/16 + 0.5, from memory
    with pytest.raises(UnknownName, match="entrance shape"):
        hyd.entrance_loss("square")


def test_orifice() -> None:
    # hyd-11: Q = Cd A sqrt(2 g h), water or any liquid
    drop = hyd.head_pressure(1000, 3.0, 9.81)
    flow = hyd.orifice_flow(0.62, hyd.tube_area(0.05), drop, 1000)
    assert flow * 1e3 == pytest.approx(9.33967, rel=1e-3)
    assert hyd.orifice_drop(0.62, hyd.tube_area(0.05), flow, 1000) == pytest.approx(drop)
    assert hyd.orifice_flow(0.62, 1e-4, -5.0, 1000) == 0


def test_gravity_drain() -> None:
    # hyd-14: Bernoulli and laminar friction; data of Katz, Automotive Aerodynamics, ex. 9.9
    assert hyd.drain_velocity(2.1, 2.0, 0.010, 919, 0.29, 9.81) == pytest.approx(0.10198, rel=3e-3)


@given(st.floats(0.1, 5), st.floats(0.1, 5), st.floats(0.002, 0.05), st.floats(1e-3, 2))
def test_drain_balances(head: float, length: float, diameter: float, viscosity: float) -> None:
    speed = hyd.drain_velocity(head, length, diameter, 870, viscosity)
    friction = hyd.laminar_drop(speed * hyd.tube_area(diameter), diameter, length, viscosity)
    # Definition: the head pays for friction and the velocity head.
    assert friction + 870 * speed**2 / 2 == pytest.approx(hyd.head_pressure(870, head))


def test_friction_factor_against_fluids() -> None:
    for roughness in (0.0, 1e-6, 1e-4, 1e-3, 0.01, 0.05):
        for number in np.logspace(math.log10(4000), 8, 40):
            expected = fluids.friction.Colebrook(float(number), roughness)  # exact solution by an independent library
            assert hyd.friction_factor(number, roughness) == pytest.approx(expected, rel=1e-9)
        for number in np.logspace(-3, math.log10(2000), 20):
            expected = fluids.friction.friction_laminar(number)
            assert hyd.friction_factor(number, roughness) == pytest.approx(expected, rel=1e-12)


def test_tube_drop_against_fluids() -> None:
    for flow in np.logspace(-6, -2, 30):
        speed = hyd.velocity(flow, 0.019)
        number = fluids.Reynolds(V=speed, D=0.019, rho=870, mu=0.01)
        if 2000 < number < 4000:
            continue
        factor = fluids.friction_factor(Re=number, eD=1.5e-6 / 0.019)
        expected = fluids.core.dP_from_K(fluids.core.K_from_f(fd=factor, L=0.4, D=0.019), rho=870, V=speed)
        found = hyd.tube_drop(flow, 0.019, 0.4, 870, 0.01, 1.5e-6)
        assert found == pytest.approx(expected, rel=2e-4)  # the library picks a close explicit formula


@given(st.floats(0.0, 0.05), st.floats(1900, 4200))
def test_friction_factor_is_continuous(roughness: float, number: float) -> None:
    here, there = hyd.friction_factor(number, roughness), hyd.friction_factor(number + 1e-3, roughness)
    assert abs(here - there) < 1e-6


@given(st.floats(0.0, 0.05), st.floats(1e-3, 1.99e3) | st.floats(4000, 1e7), st.floats(1.001, 1.5))
def test_friction_factor_falls_in_each_regime(roughness: float, number: float, times: float) -> None:
    later = number * times
    if number < 2000 < later:
        later = 2000.0
    assert hyd.friction_factor(later, roughness) <= hyd.friction_factor(number, roughness) * (1 + 1e-12)


@given(st.floats(0.0, 0.05), st.floats(1e-7, 1e-2), st.floats(1.001, 3))
def test_drop_always_grows_with_flow(roughness: float, flow: float, times: float) -> None:
    drops = [hyd.tube_drop(q, 0.016, 0.3, 870, 0.02, roughness * 0.016) for q in (flow, flow * times)]
    assert drops[1] > drops[0]


def test_no_flow_no_drop() -> None:
    assert hyd.tube_drop(0.0, 0.016, 0.3, 870, 0.02, 1e-6) == 0
    assert hyd.screen_drop(0.0, 1e-3, 0.5, 0.3e-3, 870, 0.02) == 0


def test_bends_against_fluids() -> None:
    names = {
        "90 long radius": "Elbow, 90°, Long-radius (R/D = 1.5), All types",
        "90 standard": "Elbow, 90°, Standard (R/D = 1), Flanged/welded",
        "90 threaded": "Elbow, 90°, Standard (R/D = 1), Screwed",
        "90 mitred": "Elbow, 90°, Mitered (R/D = 1.5), 1 weld (90° angle)",
        "45 long radius": "Elbow, 45°, Long-radius (R/D 1.5), All types",
        "45 standard": "Elbow, 45°, Standard (R/D = 1), All types",
        "45 mitred": "Elbow, 45°, Mitered (R/D=1.5), 1 weld (45° angle)",
        "180 long radius": "Elbow, 180°, Long-radius (R/D = 1.5), All types",
        "180 standard": "Elbow, 180°, Standard (R/D = 1), Flanged/welded",
    }
    assert set(names) == set(hyd.BENDS)
    for kind, name in names.items():
        for number in (7.0, 500.0, 1e5):
            expected = fluids.Hooper2K(Di=19 / 25.4, Re=number, name=name)  # bore in inches there
            assert hyd.bend_loss(kind, number, 0.019) == pytest.approx(expected)
    with pytest.raises(UnknownName, match="bend"):
        hyd.bend_loss("91", 100.0, 0.019)


def test_cold_bend_is_not_the_handbook_value() -> None:
    # Hooper: 800/7 + 0.2 (1 + 25.4/16), against a turbulent K of about 0.3
    assert hyd.bend_loss("90 long radius", 7.0, 0.016) == pytest.approx(800 / 7 + 0.2 * (1 + 25.4 / 16))


def test_sudden_changes() -> None:
    for ratio in (0.04, 0.25, 0.8):
        expected = fluids.fittings.diffuser_sharp(Di1=math.sqrt(ratio), Di2=1.0)  # Borda-Carnot there too
        assert hyd.expansion_loss(ratio) == pytest.approx(expected)
    assert hyd.contraction_loss(0.0) == hyd.entrance_loss("square-edged")  # definition: out of a large vessel
    assert hyd.contraction_loss(1.0) == 0  # definition: no change
    assert hyd.contraction_loss(0.0, 16.0) == hyd.entrance_loss("square-edged", 16.0)


def test_screen_agrees_with_other_correlations() -> None:
    # Wieghardt 1953, from memory: 6.5 (1 - b)/b^2 (Re_d / b)^(-1/3) for Re_d / b between 60 and 600; both scatter
    # by some 30 %.
    for fraction in (0.4, 0.5, 0.6):
        for hole in (60.0, 150.0, 400.0):
            expected = 6.5 * (1 - fraction) / fraction**2 * hole ** (-1 / 3)
            assert hyd.screen_loss(fraction, hole * fraction) == pytest.approx(expected, rel=0.35)
    # Blevins, round-wire screen, by an independent library: Re with the space between wires and mean velocity
    pore = math.sqrt(0.5) / (1 - math.sqrt(0.5))
    assert hyd.screen_loss(0.5, 100 / pore) == pytest.approx(fluids.round_edge_screen(0.5, 100), rel=0.45)


@given(st.floats(0.2, 0.8), st.floats(1e-3, 1e3), st.floats(1.01, 2))
def test_screen_loss_trends(fraction: float, number: float, times: float) -> None:
    loss = hyd.screen_loss(fraction, number)
    assert hyd.screen_loss(fraction, number * times) < loss
    assert hyd.screen_loss(fraction * 1.01, number) < loss
    # Creeping flow: the drop is proportional to the velocity, so K to 1/Re.
    assert hyd.screen_loss(fraction, 1e-6) / hyd.screen_loss(fraction, 2e-6) == pytest.approx(2, rel=1e-3)


def test_head() -> None:
    assert hyd.head_pressure(1000, 1.0) == pytest.approx(9806.65)  # standard gravity, exact
    assert hyd.local_drop(0.5, 880, 2.0) == 880  # definition: 0.5 * 880 * 4 / 2
