"""Lines, needles, vents and injectors, against an independent library and published or computed figures."""

from __future__ import annotations

import math

import pytest

from kb.standards.fuel_flow import (
    injector_flow,
    injector_mass_each,
    line_loss,
    needle_bore,
    needle_flow,
    needle_force,
    pump_flow,
    room_at_lift,
    square_law,
    touch,
    vent_drop,
)
from kb.standards.fuel_materials import MATERIALS, blend_class, stands
from kb.standards.hydraulics import DRAWN_TUBE_ROUGHNESS

fittings = pytest.importorskip("fluids.fittings")
friction = pytest.importorskip("fluids.friction")

PSI = 6894.757293168
L_H = 1e-3 / 3600
GAL_H = 3.785411784e-3 / 3600
INCH = 0.0254


@pytest.mark.parametrize(
    ("flow", "bore", "psi", "abs_"),
    [
        # Trade rules, computed there: 5 m of smooth tube, 745 kg/m3, 0.6 cSt.
        (190, 6.2, 3.6, 0.1), (190, 7.9, 1.15, 0.03), (190, 9.5, 0.5, 0.03),
        (255, 4.8, 20, 1.0), (255, 6.2, 6.1, 0.15), (255, 7.9, 1.9, 0.1), (255, 9.5, 0.8, 0.05),
    ],
)  # fmt: skip
def test_straight_lines_of_the_trade_rules(flow: float, bore: float, psi: float, abs_: float) -> None:
    assert line_loss(flow * L_H, bore * 1e-3, 5.0, 745.0, 0.6e-6).total / PSI == pytest.approx(psi, abs=abs_)


@pytest.mark.parametrize(("flow", "bore"), [(60, 6.0), (190, 7.9), (400, 12.7)])
def test_parts_of_a_line_against_fluids(flow: float, bore: float) -> None:
    """fluids: Colebrook friction, Hooper's two-K bends, sudden contraction and widening."""
    d, q, density, viscosity = bore * 1e-3, flow * L_H, 745.0, 0.6e-6
    speed = q / (math.pi / 4 * d**2)
    head = density * speed**2 / 2
    re = speed * d / viscosity
    loss = line_loss(q, d, 3.0, density, viscosity, bends=4, elbows=0, fittings=2, fitting_bore=0.8 * d, rise=0.5)
    assert loss.reynolds == pytest.approx(re)
    if re > 4000:
        factor = friction.Colebrook(re, DRAWN_TUBE_ROUGHNESS / d)
        assert loss.tube == pytest.approx(factor * 3.0 / d * head, rel=1e-6)
    bend = fittings.Hooper2K(Di=d / INCH, Re=re, K1=800, Kinfty=0.20)
    assert loss.bends == pytest.approx(4 * bend * head, rel=1e-9)
    share = 0.8**2
    widening = fittings.diffuser_sharp(0.8 * d, d)  # (1 - A1/A2)^2
    # The contraction is the handbooks' 0.5 (1 - A2/A1); fluids' newer correlation is a little smaller.
    assert loss.fittings == pytest.approx(2 * (0.5 * (1 - share) + widening) * head / share**2, rel=1e-9)
    assert loss.rise == pytest.approx(density * 9.80665 * 0.5)
    assert loss.total == pytest.approx(loss.tube + loss.bends + loss.fittings + loss.rise)


def test_a_fitting_as_wide_as_the_line_costs_nothing() -> None:
    assert line_loss(50 * L_H, 8e-3, 1.0, 745.0, 0.6e-6, fittings=5, fitting_bore=9e-3).fittings == 0.0


def test_needle_seats() -> None:
    """Trade rules, computed there: at 6 psi and Cd 0.7 a seat of 0.110 in passes 43 gal/h, 0.130 in 60 gal/h."""
    assert needle_flow(0.110 * INCH, 6 * PSI, 745.0) / GAL_H == pytest.approx(43, abs=0.5)
    assert needle_flow(0.130 * INCH, 6 * PSI, 745.0) / GAL_H == pytest.approx(60, abs=0.5)
    assert needle_bore(needle_flow(2.6e-3, 36e3, 745.0), 36e3, 745.0) == pytest.approx(2.6e-3)
    assert needle_force(2.0e-3, 40e3) == pytest.approx(0.12566, rel=1e-4)  # pressure x area by hand


def test_pump_between_its_points() -> None:
    """Straight lines by hand; the loss with volts is derived from a permanent-magnet motor at one torque."""
    curve = (170.0, 140.0, 50e3, 100e3)
    assert [pump_flow(p, *curve, 13.5, 13.5) for p in (0.0, 25e3, 50e3, 75e3, 100e3, 150e3)] == pytest.approx(
        [170, 155, 140, 70, 0, 0]
    )
    assert pump_flow(50e3, *curve, 12.15, 13.5) == pytest.approx(140 - 17)
    assert pump_flow(99e3, *curve, 10.0, 13.5) == 0.0  # never below zero


def test_vents_and_square_laws() -> None:
    """rho/2 (Q / (Cd A))^2 by hand: 200 L/h through 1/16 in."""
    hole = math.pi / 4 * (INCH / 16) ** 2
    assert vent_drop(200 * L_H, INCH / 16, 1.2) == pytest.approx(0.6 * (200 * L_H / (0.6 * hole)) ** 2)
    assert vent_drop(200 * L_H, INCH / 16, 1.2, 500.0) == pytest.approx(vent_drop(200 * L_H, INCH / 16, 1.2) + 500)
    assert square_law(8e3, 150.0, 300.0) == pytest.approx(32e3)


def test_injectors() -> None:
    """350 hp, eight, 0.5 lb/hp.h at 80 to 85 % duty: 27 lb/h each (trade rules, computed there)."""
    hp, lb_h = 745.69987158227022, 0.45359237 / 3600
    at = [injector_mass_each(350 * hp, 0.5 * lb_h / hp, 8, duty) / lb_h for duty in (0.80, 0.85)]
    assert at[1] < 27 < at[0]
    assert injector_flow(240.0, 300e3, 745.0, 75e3, 745.0) == pytest.approx(120.0)  # root of a quarter
    assert injector_flow(240.0, 300e3, 684.0, 300e3, 684.0 * 1.21) == pytest.approx(240 / 1.1)


def test_the_arm_of_a_mechanical_pump() -> None:
    """By hand, and by the story that pages tell: a spacer under a short arm, a long arm without one."""
    assert touch(0.046, 0.003, 0.041) == pytest.approx(0.002)
    assert touch(0.040, 0.008, 0.041) < 0
    assert room_at_lift(0.034, 0.003, 0.035) == pytest.approx(0.004)
    assert room_at_lift(0.0395, 0.0, 0.035) < 0


def test_materials() -> None:
    """Trade page: natural rubber, polyurethane, cork, leather, PVC, polyamide bad in fuel ethanol; four good."""
    for bad in ("natural_rubber", "polyurethane", "cork", "leather", "pvc", "polyamide"):
        assert stands(bad, 0.85) == "bad", bad
    for good in ("nitrile", "neoprene", "ptfe", "fluoroelastomer"):
        assert stands(good, 0.85) == "good", good
    assert [blend_class(share) for share in (0.0, 0.1, 0.51, 1.0)] == ["petrol", "low", "high", "high"]
    order = ("good", "watch", "bad")
    for row in MATERIALS.values():  # more ethanol is never kinder
        ranks = [order.index(each) for each in (row.petrol, row.low, row.high)]
        assert ranks == sorted(ranks), row.material
