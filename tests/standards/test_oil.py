"""Every expected number names its origin; ids such as oil-08 are those of the shared check values."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import UnknownName
from kb.standards import oil

C = oil.CELSIUS_ZERO


def test_sae_30_window() -> None:
    found = oil.grade("30")
    # oil-01: SAE J300 (2015 edition), upper limit excluded
    assert found.kv100_low * 1e6 == pytest.approx(9.3, abs=0.001)
    assert found.kv100_high is not None
    assert found.kv100_high * 1e6 == pytest.approx(12.5, abs=0.001)
    assert oil.in_grade(found, 9.3e-6)
    assert not oil.in_grade(found, 12.5e-6)
    assert oil.in_grade(oil.grade("40"), 12.5e-6)


def test_5w_cranking() -> None:
    winter = oil.grade("5W").winter
    assert winter is not None
    assert winter.cranking_most * 1e3 == pytest.approx(6600, abs=0.001)  # oil-03: SAE J300 (2015 edition)
    assert winter.cranking_temperature - C == pytest.approx(-30, abs=0.001)  # oil-03
    assert winter.pumping_most == 60.0  # SAE J300, from memory
    assert winter.pumping_temperature - C == pytest.approx(-35)  # SAE J300, from memory


@pytest.mark.parametrize(
    ("name", "cranking", "at", "pumping_at", "low"),
    [  # SAE J300 (2015), from memory except 5W
        ("0W", 6200, -35, -40, 3.8),
        ("5W", 6600, -30, -35, 3.8),
        ("10W", 7000, -25, -30, 4.1),
        ("15W", 7000, -20, -25, 5.6),
        ("20W", 9500, -15, -20, 5.6),
        ("25W", 13000, -10, -15, 9.3),
    ],
)
def test_winter_rows(name: str, cranking: float, at: float, pumping_at: float, low: float) -> None:
    row = oil.WINTER_GRADES[name]
    assert row.cranking_most == pytest.approx(cranking / 1e3)
    assert row.cranking_temperature == pytest.approx(at + 273.15)
    assert row.pumping_temperature == pytest.approx(pumping_at + 273.15)
    assert row.kv100_low == pytest.approx(low / 1e6)


@pytest.mark.parametrize(
    ("name", "low", "high", "shear"),
    [  # SAE J300 (2015), from memory except the window of 30
        ("8", 4.0, 6.1, 1.7),
        ("12", 5.0, 7.1, 2.0),
        ("16", 6.1, 8.2, 2.3),
        ("20", 6.9, 9.3, 2.6),
        ("30", 9.3, 12.5, 2.9),
        ("40", 12.5, 16.3, 3.7),
        ("50", 16.3, 21.9, 3.7),
        ("60", 21.9, 26.1, 3.7),
    ],
)
def test_summer_rows(name: str, low: float, high: float, shear: float) -> None:
    row = oil.SUMMER_GRADES[name]
    assert (row.kv100_low, row.kv100_high) == pytest.approx((low / 1e6, high / 1e6))
    assert row.high_shear_low == pytest.approx(shear / 1e3)


def test_multigrade() -> None:
    light, heavy = oil.grade("SAE 10w40"), oil.grade("15W-40")
    assert light.name == "10W-40"
    assert light.high_shear_low == pytest.approx(3.5e-3)  # SAE J300, from memory
    assert heavy.high_shear_low == pytest.approx(3.7e-3)  # SAE J300, from memory
    assert oil.grade("25W-20").kv100_low == oil.WINTER_GRADES["25W"].kv100_low  # the stricter half
    alone = oil.grade("20W")
    assert alone.kv100_high is None
    assert oil.in_grade(alone, 1e-3)
    assert not oil.in_grade(alone, 5.5e-6)


@pytest.mark.parametrize("name", ["", "5", "5W-35", "7W-30", "W", "5W-30-40", "5W" + " " * 10_000 + "x", "9" * 10_000])
def test_unknown_grade(name: str) -> None:
    with pytest.raises(UnknownName, match="SAE oil grade"):
        oil.grade(name)


def test_vg_46() -> None:
    # oil-06: ISO 3448, midpoint give or take 10 %
    low, high = oil.vg_window("46")
    assert (low * 1e6, high * 1e6) == pytest.approx((41.4, 50.6), abs=0.001)
    assert oil.vg_window("ISO VG 46") == oil.vg_window(46) == (low, high)


def test_vg_classes() -> None:
    assert len(oil.VG_CLASSES) == 20  # ISO 3448, from memory
    # ISO 3448, from memory: class 2 is 1.98 to 2.42
    assert oil.vg_window(2) == pytest.approx((1.98e-6, 2.42e-6))
    with pytest.raises(UnknownName, match="viscosity class"):
        oil.vg_window("50")


def test_viscosity_at_80() -> None:
    # oil-08: ASTM D341 short form
    found = oil.viscosity_at(C + 80, 32e-6, C + 40, 5.4e-6, C + 100)
    assert found * 1e6 == pytest.approx(8.533, abs=0.05)


@given(st.floats(240, 420), st.floats(20, 500), st.floats(3, 19))
def test_viscosity_line(temperature: float, v40: float, v100: float) -> None:
    points = (v40 * 1e-6, oil.T40, v100 * 1e-6, oil.T100)
    # Definition: the line goes through both points, falls with temperature, and turns round.
    assert oil.viscosity_at(oil.T40, *points) == pytest.approx(points[0])
    assert oil.viscosity_at(oil.T100, *points) == pytest.approx(points[2])
    viscosity = oil.viscosity_at(temperature, *points)
    assert viscosity > oil.viscosity_at(temperature + 1, *points)
    # The right side is log10 log10 straight from ASTM D341, in the other base.
    z = [np.log10(np.log10(v * 1e6 + 0.7)) for v in (points[0], points[2], viscosity)]
    slope = (z[0] - z[1]) / (np.log10(oil.T100) - np.log10(oil.T40))
    assert z[2] == pytest.approx(z[0] - slope * (np.log10(temperature) - np.log10(oil.T40)))
    assert oil.temperature_at(viscosity, *points) == pytest.approx(temperature)


def test_viscosity_index_procedure_a() -> None:
    # oil-10: ASTM D2270 worked example
    assert oil.viscosity_index(73.3e-6, 8.86e-6) == pytest.approx(92.0, abs=0.5)
    references = oil.index_references(8.86e-6)
    assert references.low == pytest.approx(119.94, abs=0.03)  # ASTM D2270 worked example; the fit gives 119.96
    assert references.high == pytest.approx(69.48, abs=0.01)  # ASTM D2270 worked example


def test_viscosity_index_procedure_b() -> None:
    # ASTM D2270 worked example, from memory: 22.83 and 5.05 mm2/s give 156
    assert oil.viscosity_index(22.83e-6, 5.05e-6) == pytest.approx(156, abs=0.6)


@pytest.mark.parametrize(
    ("y", "low", "high"),
    [  # ASTM D2270 table 1, as printed in an open chemical engineering library
        (2.0, 7.994, 6.394),
        (3.0, 15.49, 12.15),
        (4.0, 25.32, 19.56),
        (5.0, 40.23, 28.49),
        (6.0, 57.97, 38.19),
        (6.4, 65.18, 42.14),
        (7.0, 78.0, 48.57),
        (8.0, 100.0, 59.6),
        (9.0, 123.3, 71.1),
        (10.0, 147.7, 82.87),
        (11.0, 173.9, 95.19),
        (12.0, 201.9, 108.0),
    ],
)
def test_index_references_against_the_table(y: float, low: float, high: float) -> None:
    assert oil.index_references(y * 1e-6) == pytest.approx((low, high), rel=2e-3)


def test_index_rows_join() -> None:
    for start, *_ in oil._INDEX_ROWS[1:]:
        below, above = oil.index_references((start - 1e-9) * 1e-6), oil.index_references(start * 1e-6)
        # The standard's fits meet within rounding of its table.
        assert below == pytest.approx(above, rel=3e-3)


@given(st.floats(2.5, 30), st.floats(0, 250))
def test_index_turns_round(kv100: float, index: float) -> None:
    kv40 = oil.kv40_from_index(kv100 * 1e-6, index)
    assert oil.viscosity_index(kv40, kv100 * 1e-6) == pytest.approx(index, abs=1e-6)


def test_density() -> None:
    assert oil.density_at(oil.T15, 880.0) == 880.0  # definition
    # common practice, no source: 880 / (1 + 7e-4 * 85)
    assert oil.density_at(oil.T100, 880.0) == pytest.approx(830.58, abs=0.01)
    assert oil.dynamic_viscosity(1500e-6, 880.0) == pytest.approx(1.32)  # definition
