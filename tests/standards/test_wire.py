"""Every expected number names its origin; ids such as awg-01 are those of the shared check values."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import NotationFault
from kb.standards import wire

MM2 = 1e-6
KFT = 304.8


def celsius(degrees: float) -> float:
    return degrees + 273.15


def test_diameter_of_a_gauge() -> None:
    # awg-01: ASTM B258 progression d = 0.005 in x 92^((36-n)/39).
    assert wire.awg_diameter(10) * 1e3 == pytest.approx(2.58819, rel=5e-4)
    # The two ends of the progression, by definition: 4/0 is 0.46 in, 36 is 0.005 in.
    assert wire.awg_diameter(-3) == pytest.approx(0.46 * 0.0254, rel=1e-12)
    assert wire.awg_diameter(36) == pytest.approx(0.005 * 0.0254, rel=1e-12)


@pytest.mark.parametrize(
    ("gauge", "ohms"),
    # Ohms per 1000 ft at 20 degC of solid copper, a published wire table.
    [(-3, 0.04901), (-2, 0.06180), (-1, 0.07793), (0, 0.09827), (1, 0.1239), (2, 0.1563), (4, 0.2485), (6, 0.3951),
     (8, 0.6282), (10, 0.9989), (14, 2.525), (20, 10.15)],
)  # fmt: skip
def test_resistance_of_gauges(gauge: int, ohms: float) -> None:
    assert wire.resistance(KFT, wire.awg_area(gauge)) == pytest.approx(ohms, rel=2e-3)


def test_resistance_at_room_temperature() -> None:
    # awg-04: IEC 60028 (1/58 ohm.mm2/m) with ASTM B258 area.
    assert wire.resistance(1000, wire.awg_area(4), celsius(20)) == pytest.approx(0.815171, rel=1e-3)


def test_drop_of_both_ways() -> None:
    # awg-06: Ohm's law, two-way path, IACS copper.
    drop = wire.voltage_drop(200, 2 * 3.5, wire.awg_area(2), celsius(20))
    assert drop == pytest.approx(0.717732, rel=3e-3)


def test_drop_of_a_stranded_pair_when_warm() -> None:
    # awg-08: NEC chapter 9 table 8, 16 AWG stranded at 75 degC has 4.99 ohm/kft; 4 A over 100 ft of pair lose 3.992 V.
    area = wire.awg_area(16) / wire.LAY
    assert wire.resistance(KFT, area, celsius(75)) == pytest.approx(4.99, rel=5e-3)
    assert wire.voltage_drop(4, 200 * 0.3048, area, celsius(75)) == pytest.approx(3.992, rel=5e-3)


def test_drops_of_the_trade_rules() -> None:
    # Trade rules 68, computed there: 15 + 15 ft at 200 A with 4, 2, 1, 1/0 and 2/0.
    for gauge, volts in ((4, 1.49), (2, 0.94), (1, 0.74), (0, 0.59), (-1, 0.47)):
        assert wire.voltage_drop(200, 30 * 0.3048, wire.awg_area(gauge)) == pytest.approx(volts, abs=6e-3)


def test_least_area() -> None:
    # ele-05: A = rho L I / dV, 250 A over 3.2 m of conductor for 0.5 V at 20 degC.
    assert wire.least_area(250, 3.2, 0.5, celsius(20)) / MM2 == pytest.approx(27.5862, rel=1e-3)


@given(st.floats(1, 2000), st.floats(0.01, 60), st.floats(0.01, 10), st.floats(250, 420))
def test_least_area_loses_just_that(current: float, length: float, drop: float, temperature: float) -> None:
    area = wire.least_area(current, length, drop, temperature)
    assert wire.voltage_drop(current, length, area, temperature) == pytest.approx(drop, rel=1e-12)


def test_resistivity_rises_with_temperature() -> None:
    # IEC 60028: 0.00393 /K at 20 degC; 1/58 there.
    assert wire.resistivity() == pytest.approx(1 / 58e6, rel=1e-12)
    assert wire.resistivity(celsius(80)) / wire.resistivity() == pytest.approx(1 + 0.00393 * 60, rel=1e-12)


@given(st.integers(-3, 40))
def test_gauge_and_area_are_each_others_inverse(gauge: int) -> None:
    assert wire.gauge_for_area(wire.awg_area(gauge)) == pytest.approx(gauge, abs=1e-9)


def test_names() -> None:
    names = [wire.gauge_name(gauge) for gauge in (-3, -1, 0, 1, 10)]
    assert names == ["4/0 AWG", "2/0 AWG", "1/0 AWG", "1 AWG", "10 AWG"]
    assert wire.metric_name(2.5) == "2.5 mm2"
    assert set(wire.SIZE_NAMES) >= {"2/0 AWG", "16 AWG", "25 mm2", "1.5 mm2"}


def test_a_metric_size_is_a_class_of_resistance() -> None:
    # IEC 60228, class 5: 25 mm2 has at most 0.780 ohm/km, which is what 22.1 mm2 of plain copper has.
    area = wire.effective_area("25 mm2")
    assert wire.resistance(1000, area) == pytest.approx(0.780, rel=1e-12)
    assert area / MM2 == pytest.approx(1000 / 58 / 0.780, rel=1e-12)
    # ASTM B258: 4 AWG is 21.15 mm2 of copper; 2 % for the lay.
    assert wire.effective_area("4 AWG") / MM2 == pytest.approx(21.15 / 1.02, rel=1e-3)


def test_tables_of_iec_60228_are_near_the_nominal_area() -> None:
    # Derived: the standard sets the resistance so that the copper is 80 to 110 % of the nominal area; thicker is less.
    for table in (wire.CLASS_2, wire.CLASS_5):
        ohms = list(table.values())
        assert ohms == sorted(ohms, reverse=True)
        for area, ohm in table.items():
            assert 0.8 < 1000 / 58 / ohm / area < 1.1, area


@given(st.floats(0.5, 130))
def test_the_size_to_choose_is_the_thinnest_that_will_do(area: float) -> None:
    chosen = wire.sizes_for(area * MM2)
    of_unit = [[size.area for size in wire.SIZES.values() if size.name.endswith(unit)] for unit in ("AWG", "mm2")]
    assert len(chosen) == sum(max(areas) >= area * MM2 * (1 - 1e-9) for areas in of_unit)
    for name in chosen:
        size = wire.SIZES[name]
        assert size.area >= area * MM2 * (1 - 1e-9)
        alike = [each for each in wire.SIZES.values() if each.name.endswith(name.split()[1])]
        thinner = [each for each in alike if each.area < size.area]
        assert all(each.area < area * MM2 for each in thinner)


def test_a_size_that_is_not_sold_is_refused() -> None:
    with pytest.raises(NotationFault, match="7/0 AWG"):
        wire.effective_area("7/0 AWG")


def test_the_formulas_take_arrays_and_quantities() -> None:
    numpy = pytest.importorskip("numpy")
    pint = pytest.importorskip("pint")
    drops = wire.voltage_drop(numpy.array([100.0, 200.0]), 7.0, wire.awg_area(2))
    assert drops == pytest.approx([0.358866, 0.717732], rel=1e-5)  # awg-06 and half of it
    q = pint.UnitRegistry().Quantity
    drop = wire.voltage_drop(q(200, "A"), q(7, "m"), q(wire.awg_area(2) * 1e6, "mm**2"), q(293.15, "kelvin"))
    assert drop.to("mV").magnitude == pytest.approx(717.732, rel=1e-5)
    assert math.isclose(wire.awg_area(0), math.pi / 4 * wire.awg_diameter(0) ** 2)
