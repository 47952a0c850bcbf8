"""Gears, bolt circles, imbalance, runout and clamp against outside values and hand derivations."""

from __future__ import annotations

import math

import numpy as np
import pint
import pytest

from kb.standards.crank_train import (
    bolt_circle,
    clamp_of_bolt,
    gear_centres,
    imbalance_force,
    mesh_gap,
    module_of,
    offset_of,
)
from kb.standards.threads import thread

INCH = 0.0254
OZ_IN = 0.028349523125 * INCH  # avoirdupois ounce (NIST SP 811) at one inch


@pytest.mark.parametrize(
    ("ring", "pinion", "per_inch", "centres"),
    [
        # (Z1 + Z2) / (2 x diametral pitch), from the definition
        (168, 9, 12, 7.375),
        (153, 9, 12, 6.75),
        (130, 10, 10, 7.0),
        (142, 11, 12, 6.375),
    ],
)
def test_centres_follow_from_teeth_and_pitch(ring: int, pinion: int, per_inch: float, centres: float) -> None:
    assert gear_centres(ring, pinion, module_of(per_inch / INCH)) == pytest.approx(centres * INCH, rel=1e-12)


def test_centres_in_modules() -> None:
    # 138 + 10 teeth of module 2.5 mm: 148 x 1.25 = 185 mm, hand sum
    assert gear_centres(138, 10, 2.5e-3) == pytest.approx(0.185)


def test_mesh_gap_is_ring_tip_to_pinion_root() -> None:
    # Radii added up one by one: tips stand one module out, roots 1.25 modules in (ISO 53 profile A, from memory).
    module, ring, pinion, apart = 2.5e-3, 138, 10, 0.1854
    by_radii = apart - (ring / 2 + 1) * module - (pinion / 2 - 1.25) * module
    assert mesh_gap(apart, ring, pinion, module) == pytest.approx(by_radii, rel=1e-12)
    assert mesh_gap(0.185, ring, pinion, module) == pytest.approx(0.25 * module)


@pytest.mark.parametrize("holes", [3, 4, 5, 6, 8, 10])
def test_bolt_circle_against_points_on_a_circle(holes: int) -> None:
    points = [0.04 * np.exp(2j * math.pi * n / holes) for n in range(holes)]
    assert bolt_circle(abs(points[1] - points[0]), holes) == pytest.approx(0.08, rel=1e-12)


def test_bolt_circle_of_six_is_twice_the_spacing() -> None:
    assert bolt_circle(0.04, 6) == pytest.approx(0.08)  # a hexagon's side is its radius


@pytest.mark.parametrize(
    ("oz_in", "rpm", "kilonewton"),
    [
        # Trade rules: 21.8 oz-in is 1.5 kN at 3000 rpm and 6.2 kN at 6000 (recomputed: m r (2 pi n)^2).
        (21.8, 3000, 1.549),
        (21.8, 6000, 6.197),
        (1.0, 3000, 0.0710693),
        (10.0, 5500, 2.388714),
    ],
)
def test_imbalance_as_a_force(oz_in: float, rpm: float, kilonewton: float) -> None:
    assert imbalance_force(oz_in * OZ_IN, rpm / 60) == pytest.approx(kilonewton * 1e3, rel=4e-4)


def test_imbalance_against_pint() -> None:
    registry = pint.UnitRegistry()
    mass, radius, speed = registry("21.8 ounce"), registry("1 inch"), registry("3000 revolution/minute").to("radian/s")
    force = (mass * radius * (speed / registry.radian) ** 2).to("newton").magnitude
    assert imbalance_force(21.8 * OZ_IN, 50.0) == pytest.approx(force, rel=1e-9)


def test_half_the_reading_is_the_offset() -> None:
    # A circle 0.1 mm off centre, seen by a dial that turns round the crank: from +0.1 to -0.1 mm.
    angles = np.linspace(0, 2 * math.pi, 721)
    reading = 0.1 * np.cos(angles)
    assert offset_of(float(np.ptp(reading))) == pytest.approx(0.1)


def _clamp(**changed: float) -> float:
    of = thread("M16x1.5")
    given = {"torque": 60.0, "nut_factor": 0.15, "angle": 0.0, "grip": 0.06, "proof": 830e6, **changed}
    return float(clamp_of_bolt(**given, diameter=of.diameter, pitch=of.pitch, area=of.stress_area))


def test_clamp_of_torque_alone() -> None:
    assert _clamp() == pytest.approx(60 / (0.15 * 0.016))  # F = T / (K d), common practice


def test_clamp_grows_with_the_angle_until_the_bolt_yields() -> None:
    area = 167.3e-6  # M16x1.5, ISO 898-1 table: 167 mm2
    turned = _clamp(angle=math.radians(20))
    # 20 degrees of 1.5 mm pitch over 60 mm, eight tenths of it in the bolt (share from memory), E 205 GPa
    assert turned - _clamp() == pytest.approx(0.8 * 205e9 * area * 1.5e-3 / 18 / 0.06, rel=2e-3)
    # ISO 898-1 proof load of M16x1.5 class 10.9: 139 kN
    assert _clamp(angle=math.radians(140)) == pytest.approx(139e3, rel=4e-3)
    assert _clamp(angle=math.radians(170)) == _clamp(angle=math.radians(140))
