"""Air demand, boost and what a carburettor passes; ids are those of the check values."""

from __future__ import annotations

import pytest

from kb.standards.air import (
    STANDARD_PRESSURE,
    air_density,
    air_for_fuel,
    charge,
    compressor_outlet,
    density_ratio,
    flow_at_other_rating,
    intercooled,
    pressure_at_height,
    pressure_ratio,
    rated_depression,
    swallowed,
    throttle_area,
)

CFM = 0.028316846592 / 60
IN3 = 16.387064e-6
IN_HG = 3386.389


def test_air_swallowed() -> None:
    """air-01: 350 in3 at 6000 rpm, volumetric efficiency 100 %: V N / 2; 3456 = 2 x 1728."""
    assert swallowed(350 * IN3, 100.0) / CFM == pytest.approx(607.639, rel=1e-6)
    assert swallowed(350 * IN3, 100.0, 0.8) == pytest.approx(0.8 * swallowed(350 * IN3, 100.0))
    assert swallowed(1e-3, 50.0, strokes=2) == pytest.approx(0.05)  # two strokes fill every turn (definition)


def test_compressor() -> None:
    # air-04: T2 = T1 (1 + (PR^((g-1)/g) - 1) / eta), derived from the definition.
    hot = compressor_outlet(298.15, 1.8, 0.70)
    assert hot - 273.15 == pytest.approx(102.887, abs=1e-3)
    assert density_ratio(298.15, hot, 1.8) == pytest.approx(1.42717, rel=1e-5)  # air-06: ideal gas
    assert compressor_outlet(298.15, 1.0, 0.70) == pytest.approx(298.15)  # air-08: nothing squeezed
    assert pressure_ratio(0.8e5, 1.013e5) == pytest.approx(1.79, abs=0.002)  # note of air-04
    assert intercooled(hot, 298.15, 1.0) == pytest.approx(298.15)  # definition
    assert intercooled(hot, 298.15, 0.0) == hot


def test_charge_joins_them() -> None:
    bare = charge(298.15, 0.8 * STANDARD_PRESSURE, 0.70, 0.0)
    assert bare.gain == pytest.approx(1.42717, rel=1e-5)  # air-06
    assert bare.density == pytest.approx(air_density(298.15) * 1.42717, rel=1e-5)
    assert charge(298.15, 0.0, 0.70, 0.5).gain == pytest.approx(1.0)


def test_density_and_height() -> None:
    """ISO 2533: 1.225 kg/m3 at sea level, 89 875 Pa at 1000 m, 70 109 Pa at 3000 m (table, from memory)."""
    assert air_density(288.15) == pytest.approx(1.225, rel=1e-4)
    assert pressure_at_height(1000.0) == pytest.approx(89875, rel=2e-4)
    assert pressure_at_height(3000.0) == pytest.approx(70109, rel=2e-4)
    assert pressure_at_height(0.0) == STANDARD_PRESSURE


def test_carburettor_follows_the_square() -> None:
    """Definition: twice the flow, four times the depression; 1.5 against 3 inHg is sqrt 2 in flow."""
    assert rated_depression(400 * CFM, 400 * CFM, 1.5 * IN_HG, 1.204) == pytest.approx(1.5 * IN_HG)
    assert rated_depression(800 * CFM, 400 * CFM, 1.5 * IN_HG, 1.204) == pytest.approx(6.0 * IN_HG)
    assert flow_at_other_rating(500.0, 3.0, 1.5) == pytest.approx(353.55, rel=1e-4)


def test_throttle_area_takes_off_the_shaft() -> None:
    """By hand: a 60 mm bore is 2827.43 mm2, a 10 mm shaft shades 600 mm2 of it."""
    assert throttle_area(0.060, 0.010) == pytest.approx(2227.433e-6, rel=1e-6)
    assert throttle_area(0.060, 0.010, 2) == pytest.approx(2 * 2227.433e-6, rel=1e-6)


def test_air_for_fuel() -> None:
    assert air_for_fuel(0.01, 14.6, 0.9) == pytest.approx(0.1314)  # definition


def test_quantities_in_other_units() -> None:
    pint = pytest.importorskip("pint")
    unit = pint.UnitRegistry()
    made = charge(unit.Quantity(298.15, "kelvin"), unit.Quantity(0.8 * 101.325, "kPa"), 0.7, 0.0)
    assert made.temperature.to("kelvin").magnitude == pytest.approx(376.037, abs=1e-3)  # air-04
    assert made.gain.to("dimensionless").magnitude == pytest.approx(1.42717, rel=1e-5)
    assert pressure_at_height(unit.Quantity(1.0, "km")).to("Pa").magnitude == pytest.approx(89875, rel=2e-4)
