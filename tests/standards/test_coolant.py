"""Water and glycol against outside values."""

from __future__ import annotations

import pytest

from kb.standards import coolant

C = 273.15


def test_water_at_90_degrees() -> None:
    # coo-03 of the check values: IAPWS-95 by CoolProp, 90 degC and 2 bar.
    assert coolant.water_density(90 + C) == pytest.approx(965.35, rel=0.002)
    assert coolant.water_heat(90 + C) == pytest.approx(4205, rel=0.002)


def test_heat_to_cooling_water() -> None:
    # coo-01 of the check values: 16 kg/min over 45 K with cp 4.19, published engine-test problem.
    assert coolant.heat_carried(16 / 60, 4190, 65.8 - 20.8) == pytest.approx(50280, rel=0.001)


def test_flow_for_75_kw() -> None:
    # coo-04 of the check values: 75 kW over 6 K at 90 degC (CoolProp): 184.76 L/min.
    assert coolant.flow_for_heat(75e3, 6.0, 90 + C) == pytest.approx(184.76e-3 / 60, rel=0.002)


@pytest.mark.parametrize(("celsius", "density"), [(0.0, 999.84), (4.0, 999.97), (20.0, 998.2), (100.0, 958.4)])
def test_density_of_water(celsius: float, density: float) -> None:
    # CRC Handbook rows, from memory.
    assert coolant.water_density(celsius + C) == pytest.approx(density, rel=2e-4)


def test_glycol_carries_less() -> None:
    # Half-and-half near 90 degC carries about 10 % less heat per litre: usual data-sheet figure, from memory.
    ratio = coolant.heat_capacity(90 + C, 0.5) / coolant.heat_capacity(90 + C)
    assert ratio == pytest.approx(0.9, abs=0.03)


def test_rise_and_flow_are_each_other_turned_round() -> None:
    flow = coolant.flow_for_heat(60e3, 7.0, 360.0, 0.3)
    assert coolant.rise_for_flow(60e3, flow, 360.0, 0.3) == pytest.approx(7.0)


def test_arrays_give_what_floats_give() -> None:
    numpy = pytest.importorskip("numpy")
    temperatures = numpy.array([280.0, 333.0, 372.0])
    for function in (coolant.water_density, coolant.water_heat, coolant.heat_capacity):
        found = function(temperatures)
        assert list(found) == pytest.approx([function(float(each)) for each in temperatures], rel=1e-12)


@pytest.mark.parametrize(("pressure", "kelvin"), [(0.1e6, 372.755919), (1e6, 453.035632), (10e6, 584.149488)])
def test_boiling_point_of_water(pressure: float, kelvin: float) -> None:
    # IAPWS-IF97, table 36 of the release: figures printed there for checking a programme, from memory.
    assert coolant.boiling_water(pressure) == pytest.approx(kelvin, abs=1e-5)


@pytest.mark.parametrize(("kelvin", "pressure"), [(300.0, 3536.58941), (500.0, 2.63889776e6)])
def test_boiling_point_turned_round(kelvin: float, pressure: float) -> None:
    # IAPWS-IF97, table 35: saturation pressures printed for checking, from memory.
    assert coolant.boiling_water(pressure) == pytest.approx(kelvin, abs=1e-4)


def test_cap_and_antifreeze_raise_the_boiling_point() -> None:
    # Plain water, no cap, at sea level: 99.97 degC on today's scale (steam tables, from memory).
    assert coolant.boiling_point(0.0) == pytest.approx(99.97 + C, abs=0.02)
    # A 15 psi cap on half-and-half holds to about 128 degC: usual figure of data sheets, from memory.
    assert coolant.boiling_point(103.4e3, 0.5) == pytest.approx(128.5 + C, abs=1.5)
