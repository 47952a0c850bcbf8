"""Every expected number names its origin; ids such as gas-07 are those of the shared check values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.standards import gaskets as gas

# The rail of gas-07, gas-08 and gas-12: 10 mm aluminium, 20 mm wide, gasket modulus 10 MPa, 1.5 mm thick.
E = 70e9  # gas-07
INERTIA = gas.rectangle_inertia(0.020, 0.010)
FOUNDATION = gas.foundation_modulus(10e6, 0.020, 0.0015)


def test_rail_of_the_check_values() -> None:
    assert gas.foundation_modulus(10e6, 0.020, 0.0015) == pytest.approx(133.333333e6)  # gas-07, note
    assert gas.rectangle_inertia(0.020, 0.010) * 1e12 == pytest.approx(1666.66667)  # gas-12


def test_bolt_spacing() -> None:
    # gas-01: ASME VIII-1 App. 2 / TEMA
    assert gas.max_bolt_spacing(8e-3, 6e-3, 1.0) == pytest.approx(40e-3, rel=1e-4)


def test_moment_multiplier() -> None:
    # gas-03: ASME VIII-1 App. 2 eq. 7
    assert gas.moment_multiplier(60e-3, 8e-3, 6e-3) == pytest.approx(1.65145, rel=1e-4)
    assert gas.moment_multiplier(20e-3, 8e-3, 6e-3) == 1.0  # definition: never below 1


def test_torque() -> None:
    # gas-05: T = K F d (Shigley)
    assert gas.tightening_torque(15900, 8e-3, 0.2) == pytest.approx(25.44, rel=1e-3)
    assert gas.preload_from_torque(25.44, 8e-3, 0.2) == pytest.approx(15900, rel=1e-3)


def test_compression_under_a_bolt() -> None:
    # gas-07: Hetenyi / Roark, computed with scipy
    assert 1e3 * gas.bolt_row_deflection(2000, 0.080, E, INERTIA, FOUNDATION) == pytest.approx(0.199361, rel=1e-3)
    assert gas.beam_parameter(E, INERTIA, FOUNDATION) * 0.080 == pytest.approx(1.8496, abs=1e-4)  # gas-08, note


def test_midspan_ratio() -> None:
    # gas-08: Hetenyi / Roark, computed with scipy
    assert gas.bolt_row_ratio(0.080, E, INERTIA, FOUNDATION) == pytest.approx(0.888643, abs=0.002)


def test_single_load() -> None:
    # gas-12: y = P b / 2k, M = P / 4b
    assert 1e3 * gas.single_load_deflection(2000, E, INERTIA, FOUNDATION) == pytest.approx(0.173398, rel=1e-3)
    assert gas.single_load_moment(2000, E, INERTIA, FOUNDATION) == pytest.approx(21.6265, rel=1e-3)
    assert gas.single_load_deflection(2000, E, INERTIA, FOUNDATION, 0.0) == pytest.approx(0.173398e-3, rel=1e-3)
    assert gas.single_load_moment(2000, E, INERTIA, FOUNDATION, 0.0) == pytest.approx(21.6265, rel=1e-3)


@given(st.floats(0.005, 0.5), st.floats(0.001, 0.02), st.floats(1e6, 5e8))
def test_row_is_the_sum_of_single_loads(pitch: float, thickness: float, foundation: float) -> None:
    inertia = gas.rectangle_inertia(0.020, thickness)
    beta = gas.beam_parameter(E, inertia, foundation)
    reach = min(4000, math.ceil(40 / (beta * pitch)))

    def total(single, offset: float) -> float:  # type: ignore[no-untyped-def]
        return sum(single(1000, E, inertia, foundation, abs(n * pitch + offset)) for n in range(-reach, reach + 1))

    # Definition: superposition on an endless beam.
    under, middle = total(gas.single_load_deflection, 0.0), total(gas.single_load_deflection, pitch / 2)
    row = (pitch, E, inertia, foundation)
    assert gas.bolt_row_deflection(1000, *row) == pytest.approx(under, rel=1e-6)
    assert gas.bolt_row_midspan(1000, *row) == pytest.approx(middle, rel=1e-6, abs=1e-9 * under)
    assert gas.bolt_row_ratio(*row) == pytest.approx(middle / under, abs=1e-6)
    moment = total(gas.single_load_moment, 0.0)
    assert gas.bolt_row_moment(1000, *row) == pytest.approx(moment, rel=1e-5)


def test_wide_pitch_tends_to_one_load_and_does_not_overflow() -> None:
    single = gas.single_load_deflection(2000, E, INERTIA, FOUNDATION)  # gas-12: limit of gas-07
    assert gas.bolt_row_deflection(2000, 100.0, E, INERTIA, FOUNDATION) == pytest.approx(single)
    assert gas.bolt_row_midspan(2000, 100.0, E, INERTIA, FOUNDATION) == pytest.approx(0, abs=1e-12)


def test_stiff_rail_tends_to_the_mean_and_to_a_fixed_span() -> None:
    mean = gas.mean_compression(2000, 0.080, FOUNDATION)
    assert gas.bolt_row_deflection(2000, 0.080, 1e16, INERTIA, FOUNDATION) == pytest.approx(mean, rel=1e-3)
    # w L^2 / 12 of a beam with fixed ends under even load, w = P / L: definition
    assert gas.bolt_row_moment(2000, 0.080, 1e13, INERTIA, FOUNDATION) == pytest.approx(2000 * 0.080 / 12, rel=1e-3)


def test_gasket_squeeze() -> None:
    assert gas.gasket_squeeze(5e-3, 3.5e-3) == pytest.approx(0.3)  # definition
    assert gas.gasket_squeeze(3e-3, 3.3e-3) == pytest.approx(-0.1)  # definition: a gap


def test_bending_stress() -> None:
    # definition: M / (I / (t/2)) of the rail above under 20 N m
    assert gas.stress_from_moment(20.0, 0.020, 0.010) == pytest.approx(20.0 * 0.005 / INERTIA)
