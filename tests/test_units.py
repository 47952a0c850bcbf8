"""Workshop notation. Factors: NIST SP 811 appendix B, most of them exact by definition (inch, pound, gallon)."""

from __future__ import annotations

import math
import re
import subprocess
import sys
import time
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb import unit_table, units
from kb.errors import NotationFault, UnknownName
from kb.units import KINDS, Designation, Measure, designation, parse, read, show, show_unit

INCH = Fraction(254, 10000)  # exact by definition, NIST SP 811
POUND_FORCE = Fraction("4.4482216152605")  # 0.45359237 kg * 9.80665 m/s2, both exact, NIST SP 811
HEAVY = ["numpy", "pint", "pydantic", "sqlite_utils", "datasette", "click", "yaml"]
HEAVY += ["dataclasses", "inspect", "importlib.metadata", "hashlib", "datetime", "pathlib"]

# text, kind, SI value. Every value is derived from the exact definitions of the units in NIST SP 811.
QUANTITIES = [
    ("8 1/4 in", "length", Fraction(33, 4) * INCH),
    ('8-1/4"', "length", Fraction(33, 4) * INCH),
    ("8¼″", "length", Fraction(33, 4) * INCH),
    ("8 ¼ inches", "length", Fraction(33, 4) * INCH),
    ('3/8"', "length", Fraction(3, 8) * INCH),
    ("3/8''", "length", Fraction(3, 8) * INCH),
    ("3⁄8 in.", "length", Fraction(3, 8) * INCH),
    ("5/4 in", "length", Fraction(5, 4) * INCH),
    ("-8-1/4 in", "length", -Fraction(33, 4) * INCH),
    ("5/16 in", "length", Fraction("0.0079375")),  # values.json uni-01
    ("20 thou", "length", Fraction("0.000508")),
    ("40 thou", "length", Fraction("0.001016")),  # values.json uni-03: a thou is 0.001 in, no millimetre
    ("40 mil", "length", Fraction("0.001016")),
    ("0.020 in", "length", Fraction("0.000508")),
    (".5 in", "length", Fraction("0.0127")),
    ("6.35 mm", "length", Fraction("0.00635")),
    ("6.35 MM", "length", Fraction("0.00635")),
    ("6.35 Mm", "length", Fraction("0.00635")),
    ("1,250 mm", "length", Fraction("1.25")),
    ("1,250,000.5 um", "length", Fraction("1.2500005")),
    ("5'", "length", 60 * INCH),
    ("5' 3\"", "length", 63 * INCH),
    ("5'3\"", "length", 63 * INCH),
    ("5'-3 1/2\"", "length", Fraction(127, 2) * INCH),
    ("5 ft 3 in", "length", 63 * INCH),
    ("-5' 3\"", "length", -63 * INCH),
    ("5 ft", "length", 60 * INCH),
    ("1.5e-3 m", "length", Fraction("0.0015")),
    ("8 17/64 in (+0.003 mm)", "length", Fraction(8 * 64 + 17, 64) * INCH + Fraction("0.000003")),
    ("25 ft-lb", "torque", 25 * 12 * INCH * POUND_FORCE),
    ("1 ft.lbf", "torque", 12 * INCH * POUND_FORCE),  # values.json uni-09: 1.35581794833
    ("25 lbf.ft", "torque", 25 * 12 * INCH * POUND_FORCE),
    ("25 lb-ft", "torque", 25 * 12 * INCH * POUND_FORCE),
    ("25 ft lbs", "torque", 25 * 12 * INCH * POUND_FORCE),
    ("100 in-lb", "torque", 100 * INCH * POUND_FORCE),
    ("32 oz-in", "torque", 2 * INCH * POUND_FORCE),  # 16 oz to the pound
    ("34 N.m", "torque", Fraction(34)),
    ("34 Nm", "torque", Fraction(34)),
    ("34 N·m", "torque", Fraction(34)),
    ("34 N m", "torque", Fraction(34)),
    ("1 psi", "pressure", POUND_FORCE / INCH**2),  # values.json uni-05: 6894.75729317
    ("43.5 psi", "pressure", Fraction("43.5") * POUND_FORCE / INCH**2),
    ("3 bar", "pressure", Fraction(300000)),
    ("5 MPa", "pressure", Fraction(5_000_000)),
    ("5 mPa", "pressure", Fraction("0.005")),
    ("5 mPa.s", "dynamic_viscosity", Fraction("0.005")),
    ("5 cP", "dynamic_viscosity", Fraction("0.005")),
    ("75 degC", "temperature", Fraction("348.15")),
    ("75 °C", "temperature", Fraction("348.15")),
    ("75° C", "temperature", Fraction("348.15")),
    ("75 C", "temperature", Fraction("348.15")),
    ("180 degF", "temperature", Fraction("639.67") * 5 / 9),
    ("-40 F", "temperature", Fraction("233.15")),  # values.json uni-14
    ("-40 degF", "temperature", Fraction("233.15")),
    ("18 degF difference", "temperature_difference", Fraction(10)),  # values.json uni-14
    ("1,250 cfm", "flow", 1250 * (12 * INCH) ** 3 / 60),
    ("1 ft3/min", "flow", (12 * INCH) ** 3 / 60),  # values.json uni-12, see test_values_as_published
    ("255 L/h", "flow", Fraction("0.255") / 3600),
    ("1 gal/h", "flow", 231 * INCH**3 / 3600),  # values.json uni-07: the US gallon is 231 in3
    ("29 gph", "flow", 29 * 231 * INCH**3 / 3600),
    ("440 cc/min", "flow", Fraction("0.00044") / 60),
    ("50 cc", "volume", Fraction("0.00005")),
    ("1 imp gal", "volume", Fraction("0.00454609")),
    ("0.7 cSt", "viscosity", Fraction("0.0000007")),
    ("0.7 mm²/s", "viscosity", Fraction("0.0000007")),
    ("2000 rpm", "speed", Fraction(2000, 60)),
    ("44 lb/h", "mass_flow", 44 * Fraction("0.45359237") / 3600),
    ("2 kg", "mass", Fraction(2)),
    ("60 miles per hour", "velocity", 60 * 63360 * INCH / 3600),
    ("20 kN/mm", "stiffness", Fraction(20_000_000)),
    ("200 lb/in", "stiffness", 200 * POUND_FORCE / INCH),
    ("43 MJ/kg", "heating_value", Fraction(43_000_000)),
    ("4.2 kJ/(kg.K)", "specific_heat", Fraction(4200)),
    ("3.28 ohm/km", "line_resistance", Fraction("0.00328")),
    ("58 %", "percent", Fraction("0.58")),
]

# text, value, half width (SI). Derived from the definitions of "plus or minus" and of the middle of two bounds.
SPREADS = [
    ("190 +/- 1 mm", 0.190, 0.001),
    ("190 ± 1 mm", 0.190, 0.001),
    ("190±1mm", 0.190, 0.001),
    ("190 mm +- 1 mm", 0.190, 0.001),
    ("190 mm ± 1", 0.190, 0.001),
    ("190 mm ± 40 thou", 0.190, 0.001016),
    ("190 mm ± 0.5 %", 0.190, 0.00095),
    ('8 1/4" ± 1/32"', 0.20955, 0.00079375),
    ("190 +0.1/-0.2 mm", 0.18995, 0.00015),
    ("190 mm +0.1 -0.2", 0.18995, 0.00015),
    ("190 mm -0.2/+0.1 mm", 0.18995, 0.00015),
    ("190 mm +0.1 mm / -200 um", 0.18995, 0.00015),
    ("190 +0.1/0 mm", 0.19005, 0.00005),
    ("190 0/-0.2 mm", 0.1899, 0.0001),
    ("20 +0.3/+0.1 mm", 0.0202, 0.0001),
    ("188..190 mm", 0.189, 0.001),
    ("188 to 190 mm", 0.189, 0.001),
    ("188 mm to 19 cm", 0.189, 0.001),
    ("75 ± 5 degC", 348.15, 5.0),
    ("75 degC ± 9 degF", 348.15, 5.0),
    ("70 to 80 degC", 348.15, 5.0),
    ("50 % ± 5 %", 0.5, 0.05),
    ("190 mm ± 0", 0.190, 0.0),
]

# Diameters: n/16 in and 0.060 in + 0.013 in a number (ASME B1.1, from memory); AWG 2/0 is -1 (ASTM B258, from memory).
DESIGNATIONS = [
    ("M8x1.25", "metric_thread", (0.008, 0.00125)),
    ("M8×1.25", "metric_thread", (0.008, 0.00125)),
    ("M8 x 1.25", "metric_thread", (0.008, 0.00125)),
    ("m12X1.5", "metric_thread", (0.012, 0.0015)),
    ("M8", "metric_thread", (0.008,)),
    ("5/16-18", "inch_thread", (0.0079375, 18.0)),
    ("1/4-20 UNC", "inch_thread", (0.00635, 20.0)),
    ("1/2-20", "inch_thread", (0.0127, 20.0)),
    ('1/2"-20', "inch_thread", (0.0127, 20.0)),
    ("3/4–16 UNF-2B", "inch_thread", (0.01905, 16.0)),
    ("1 1/16-12", "inch_thread", (0.0269875, 12.0)),
    ("1-1/16-12 UN", "inch_thread", (0.0269875, 12.0)),
    ("1-8", "inch_thread", (0.0254, 8.0)),
    ("10-32", "inch_thread", (0.004826, 32.0)),
    ("#10-24", "inch_thread", (0.004826, 24.0)),
    ("-8", "dash_size", (8.0,)),
    ("-10 AN", "dash_size", (10.0,)),
    ("AN-6", "dash_size", (6.0,)),
    ("10 AWG", "wire_gauge", (10.0,)),
    ("AWG 4", "wire_gauge", (4.0,)),
    ("1/0 AWG", "wire_gauge", (0.0,)),
    ("0 AWG", "wire_gauge", (0.0,)),
    ("2/0 AWG", "wire_gauge", (-1.0,)),
    ("0000 AWG", "wire_gauge", (-3.0,)),
    ("36-1", "tooth_pattern", (36.0, 1.0)),
    ("60-2", "tooth_pattern", (60.0, 2.0)),
    ("36-2-2-2", "tooth_pattern", (36.0, 2.0, 2.0, 2.0)),
]

# text, words that the message or the step must hold.
REFUSED = [
    ("0.020", "no unit"),
    ("8 4/0 in", "divides by zero"),
    ("8 5/4 in", "not below one"),
    ("8 1/4 1/8 in", "column 7"),
    ("8.5 1/4 in", "column 5"),
    ("nan", "column 1"),
    ("inf mm", "column 1"),
    ("-inf mm", "a number is due"),
    ("0x10 mm", "'x' is not a unit"),
    ("1_000 mm", "column 2"),
    ("1e400 mm", "out of any range"),
    ("1e-400 mm", "out of any range"),
    ("1e999999999 mm", "out of any range"),
    ("", "empty"),
    (" \t ", "empty"),
    ("5 mm deep", "column 6"),
    ("  5 mm !", "column 8"),
    ("٥ mm", "column 1"),
    ("6,35 mm", "write 6.35"),
    ("0,020 in", "write 0.020"),
    ("12,5000 mm", "comma"),
    ("1,25,000 mm", "comma"),
    ("188-190 mm", "write 188 to 190 mm"),
    ("190..188 mm", "backwards"),
    ("190 + 1 mm", "left over"),
    ("190 -0.1 -0.2 mm", "left over"),
    ("190 ± -1 mm", "a number is due"),
    ("75 degC ± 5 %", "a share of a temperature"),
    ("5' 13\"", "less than 12"),
    ("8 1/4 in (+0.5 mm)", "1/128"),
    ("5 MPA", "write mPa or MPa"),
    ("34 nm", "N.m"),
    ("1/2-20 in", "inch thread"),
    ("1/8-27", "pipe thread"),
    ("1/8-27 NPT", "pipe thread"),
    ("1/0", "1/0 AWG"),
    ("5/0 AWG", "divides by zero"),
    ("30 psig", "write psi"),
    ("5 N.m/deg", "cannot be joined"),
    ("5 cc/rev", "'rev'"),
    ("5 mm/mm", "no quantity"),
    ("5 hp/L", "no quantity"),
    ("-500 degC", "absolute zero"),
    ("5 furlong", "not a unit"),
    ("M8x1.25x30", "column 1"),
    ("__import__('os')", "column 1"),
    ("5 mm; DROP TABLE part", "column 5"),
    ("5 <b>mm</b>", "column 3"),
]


def exactly(expected: Fraction) -> float:
    return expected.numerator / expected.denominator


@pytest.mark.parametrize(("text", "kind", "value"), QUANTITIES)
def test_quantity_reads_as_what_it_is(text: str, kind: str, value: Fraction) -> None:
    got = read(text)
    assert isinstance(got, Measure)
    assert (got.kind, got.half_width, got.text) == (kind, None, text)
    assert got.value == exactly(value)  # exact rational arithmetic: equal to the last bit
    assert parse(text, kind).value == got.value


def test_values_as_published() -> None:
    # values.json uni-01, 03, 05, 07, 09, 12, 14 with their units and tolerances; source NIST SP 811 appendix B.
    assert parse("5/16 in").value / show_unit("length")[1] == pytest.approx(7.9375, rel=1e-9)
    assert parse("40 thou").value * 1000 == pytest.approx(1.016, rel=1e-9)
    assert parse("1 psi").value == pytest.approx(6894.75729317, rel=1e-8)
    assert parse("1 gal/h").value * 3.6e6 == pytest.approx(3.785411784, rel=1e-9)
    assert parse("1 ft.lbf").value == pytest.approx(1.35581794833, rel=1e-9)
    # uni-12 lists 1.69901082 m3/h within 1e-8. The foot is 0.3048 m exactly, so the value is 0.3048**3 * 60
    # = 1.69901079552, and the listed figure is 1.44e-8 above it: the definition holds, the list is met to 2e-8 only.
    assert parse("1 ft3/min").value * 3600 == pytest.approx(1.69901079552, rel=1e-15)
    assert parse("1 ft3/min").value * 3600 == pytest.approx(1.69901082, rel=2e-8)
    assert parse("-40 degF").value - 273.15 == pytest.approx(-40.0, abs=1e-9)
    assert parse("18 degF", "temperature_difference").value == pytest.approx(10.0, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "si"),
    # NIST SP 811 appendix B.8, conversion factors to seven figures.
    [
        *[("1 inHg", 3386.389), ("1 mmHg", 133.3224), ("1 inH2O", 249.0889), ("1 ksi", 6894757), ("1 hp", 745.6999)],
        *[("1 kgf.m", 9.80665), ("1 fl oz", 2.957353e-5), ("1 lb/ft3", 16.01846), ("1 Btu/lb", 2326)],
        *[("1 atm", 101325), ("1 in4", 4.162314e-7), ("1 mph", 0.44704), ("1 PS", 735.4988), ("1 qt", 9.463529e-4)],
        ("1 oz", 0.02834952),
    ],
)
def test_other_factors_as_published(text: str, si: float) -> None:
    assert parse(text).value == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(("text", "value", "half"), SPREADS)
def test_spread(text: str, value: float, half: float) -> None:
    got = parse(text)
    assert got.half_width is not None
    assert (got.value, got.half_width) == pytest.approx((value, half), rel=1e-14, abs=1e-18)


@pytest.mark.parametrize(("text", "sort", "numbers"), DESIGNATIONS)
def test_designation(text: str, sort: str, numbers: tuple[float, ...]) -> None:
    assert read(text) == Designation(sort, numbers, text)
    assert designation(f" {text} ", sort) == Designation(sort, numbers, text)
    with pytest.raises(NotationFault, match="where a pressure is due"):
        parse(text, "pressure")


def test_designation_due_tells_what_it_read_instead() -> None:
    with pytest.raises(NotationFault, match=r"an inch thread .* where a metric thread is due") as caught:
        designation("5/16-18", "metric_thread", place="bolt.yaml:3")
    assert caught.value.place == "bolt.yaml:3"
    assert "M8x1.25" in caught.value.step
    assert designation("10", "wire_gauge").numbers == (10.0,)
    assert designation("10 ga", "wire_gauge").numbers == (10.0,)
    assert designation("8", "dash_size").numbers == (8.0,)
    for text in ("36-37", "36-36", "36-0", "M1.25x8", "8x1.25", "-0", "5/0 AWG", "99 AWG", "1/2-1", "8 mm", ""):
        with pytest.raises(NotationFault):
            designation(text)


@pytest.mark.parametrize(("text", "words"), REFUSED)
def test_refused_with_a_plain_message(text: str, words: str) -> None:
    with pytest.raises(NotationFault) as caught:
        read(text, place="pans.csv:7: depth")
    assert words in str(caught.value)
    assert caught.value.place == "pans.csv:7: depth"
    assert caught.value.step


def test_thread_is_no_length() -> None:
    with pytest.raises(NotationFault, match=r"an inch thread .* where a length is due") as caught:
        parse("1/2-20", "length")
    assert "1/2 in" in caught.value.step


def test_length_where_a_pressure_is_due() -> None:
    with pytest.raises(NotationFault, match=r"a length .* where a pressure is due") as caught:
        parse("8 1/4 in", "pressure", place="--set")
    assert "psi" in caught.value.step
    assert caught.value.place == "--set"
    for text, kind in (("5 J", "torque"), ("34 N.m", "energy"), ("2000 rpm", "frequency"), ("5 kN/mm", "force")):
        with pytest.raises(NotationFault, match="where"):
            parse(text, kind)


def test_bare_numbers_need_a_unit_from_somewhere() -> None:
    with pytest.raises(NotationFault) as caught:
        parse("0.020", "length")
    assert caught.value.step == "write 0.020 in or 0.020 mm"
    assert parse("0.020", "length", unit="in").value == 0.000508
    assert parse("0.020", unit="in").kind == "length"
    assert parse("8 1/4 ± 1/16", unit="in").half_width == 0.0015875
    assert parse("3/8 mm", unit="in").unit == "mm"
    assert parse("-8", "length", unit="mm").value == -0.008
    assert parse("-8", "number").value == -8.0
    assert parse("8 1/4", "number") == Measure("number", 8.25, None, "", "8 1/4")
    assert parse("36", "percent", unit="%").value == 0.36
    assert parse("190 ± 5 %", "length", unit="mm").half_width == 0.0095
    with pytest.raises(NotationFault, match="where a pressure is due"):
        parse("0.020", "pressure", unit="in")
    with pytest.raises(UnknownName, match="kind of quantity"):
        parse("5 mm", "lenght")


def test_words_with_two_meanings_follow_the_kind_due() -> None:
    assert parse("50 lb").kind == "mass"
    assert parse("50 lb", "force").value == exactly(50 * POUND_FORCE)
    assert parse("34 nm", "torque").value == 34.0
    assert parse("34 NM", "torque").value == 34.0
    assert parse("34 nm", "length").value == 34e-9
    assert parse("10 K").kind == "temperature"
    assert parse("10 K", "temperature_difference").value == 10.0
    with pytest.raises(NotationFault, match="may be"):
        parse("34 NM")


def test_long_text_is_refused_shortly_and_at_once() -> None:
    for text in ("1" * 10_000, "8 1/4 in " * 1200, "-1" * 5_000, " " * 10_000):
        start = time.perf_counter()
        for reader in (read, designation, parse):
            with pytest.raises(NotationFault) as caught:
                reader(text)
            assert len(str(caught.value)) < 300
        assert time.perf_counter() - start < 1.0


def test_every_table_unit_agrees_with_pint() -> None:
    registry = unit_table._registry()
    exact, _ = unit_table._words()
    rows = {unit for found in exact.values() for unit, _ in found}
    assert len(rows) > 100
    for unit in rows:
        base = registry.parse_expression(KINDS[unit.kind].base)
        quantity = registry.parse_expression(unit.pint)
        assert quantity.dimensionality == base.dimensionality, unit
        one, zero = (registry.Quantity(Fraction(n), quantity.units).to(base.units).magnitude for n in (1, 0))
        above, below = unit_table.factor(unit)
        assert float(Fraction(above, below)) == pytest.approx(float((one - zero) * quantity.magnitude), rel=1e-15), unit
        offset = Fraction(*unit_table.decimal(unit.offset)) * Fraction(above, below)
        assert float(offset) == pytest.approx(float(zero), rel=1e-12), unit


def test_every_kind_can_be_shown_and_its_example_read() -> None:
    for name, kind in KINDS.items():
        for example in kind.example.split(" or "):
            assert parse(example, name).kind == name
        for system in ("mm", "in", "in64"):
            assert parse(show(1.25, name, system), name).value == pytest.approx(1.25, rel=1e-3, abs=0.05), (
                name,
                system,
            )
            word, size = show_unit(name, system)
            one = parse(f"1 {word}".rstrip(), name)
            assert one.value == pytest.approx(size, rel=1e-15), (name, system)


def test_display_and_lengths_need_no_pint() -> None:
    code = f"""
import sys
from kb.units import KINDS, parse, read, show, show_unit
heavy = [name for name in {HEAVY!r} if name in sys.modules]
assert not heavy, heavy
for kind in KINDS:
    for system in ("mm", "in", "in64"):
        show(1.25, kind, system), show_unit(kind, system)
for text in ("8 1/4 in", "6.35 mm ± 0.1", "20 thou", "3 m", "2 cm", '5\\' 3"', "43.5 psi", "75 degC", "M8x1.25"):
    read(text)
assert "pint" not in sys.modules and "numpy" not in sys.modules and "fractions" not in sys.modules
"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("value", "kind", "system", "digits", "text"),
    # Derived from the definitions of the units.
    [
        (0.190, "length", "mm", None, "190 mm"),
        (0.00635, "length", "mm", None, "6.35 mm"),
        (0.00635, "length", "mm", 1, "6.3 mm"),
        (0.000508, "length", "in", None, "0.020 in"),
        (0.20955, "length", "in64", None, "8 1/4 in"),
        (0.209949875, "length", "in64", None, "8 17/64 in (+0.003 mm)"),
        (-0.009525, "length", "in64", None, "-3/8 in"),
        (0.0, "length", "in64", None, "0 in"),
        (-0.00005, "length", "in64", None, "0 in (-0.050 mm)"),
        (-1e-9, "length", "mm", None, "0 mm"),
        (300000.0, "pressure", "mm", None, "300 kPa"),
        (300000.0, "pressure", "in", None, "43.51 psi"),
        (348.15, "temperature", "mm", None, "75 degC"),
        (355.3722222222222, "temperature", "in", None, "180 degF"),
        (10.0, "temperature_difference", "in", None, "18 degF difference"),
        (34.0, "torque", "mm", None, "34 N.m"),
        (34.0, "torque", "in64", None, "25.08 ft-lb"),
        (0.001, "flow", "mm", None, "60 L/min"),
        (100 / 3, "speed", "mm", None, "2000 rpm"),
        (0.58, "percent", "mm", None, "58 %"),
        (36.0, "number", "mm", None, "36"),
        (math.nan, "length", "in64", None, "not known"),
        (math.inf, "pressure", "mm", None, "without limit"),
    ],
)
def test_show(value: float, kind: str, system: str, digits: int | None, text: str) -> None:
    assert show(value, kind, system, digits=digits) == text


def test_show_refuses_unknown_words() -> None:
    with pytest.raises(UnknownName, match="system of units"):
        show(1.0, "length", "inches")
    with pytest.raises(UnknownName, match="kind of quantity"):
        show_unit("lenght")


@given(st.floats(-20, 20))
def test_show_then_parse_gives_the_length_back(value: float) -> None:
    slack = 1e-12
    assert abs(parse(show(value, "length", "mm")).value - value) <= 0.5e-6 + slack
    assert abs(parse(show(value, "length", "in")).value - value) <= 0.5e-3 * 0.0254 + slack
    shown = show(value, "length", "in64")
    assert abs(parse(shown).value - value) <= 0.5e-6 + slack
    alone, _, error = shown.partition(" (")
    stated = float(error.removesuffix(" mm)")) / 1000 if error else 0.0
    assert abs(parse(alone).value + stated - value) <= 0.5e-6 + slack
    assert abs(stated) <= 0.0254 / 128 + slack


@given(st.sampled_from(sorted(KINDS)), st.floats(1e-9, 1e9), st.sampled_from(["mm", "in", "in64"]))
def test_show_then_parse_gives_any_quantity_back(kind: str, value: float, system: str) -> None:
    value = max(value, 1.0) if kind == "temperature" else value  # rounding may not pass below absolute zero
    spacing = {"length": 1.3e-5, "temperature": 0.051}.get(kind, 0.0)  # 0.0005 in; 0.05 K
    assert parse(show(value, kind, system), kind).value == pytest.approx(value, rel=0.51e-3, abs=spacing)


@st.composite
def notation(draw: st.DrawFn) -> tuple[str, Fraction]:
    """A number as people write it, and the rational that it is."""
    whole, below = draw(st.integers(0, 9999)), draw(st.sampled_from([2, 4, 8, 16, 32, 64, 3, 10]))
    above = draw(st.integers(0, below - 1))
    part = Fraction(above, below)
    decimals = draw(st.text("0123456789", min_size=1, max_size=6))
    thousands = draw(st.integers(1000, 10**9))
    text, value = draw(
        st.sampled_from(
            [
                (f"{whole} {above}/{below}", whole + part),
                (f"{whole}-{above}/{below}", whole + part),
                (f"{above}/{below}", part),
                (f"{whole}.{decimals}", Fraction(f"{whole}.{decimals}")),
                (f".{decimals}", Fraction(f"0.{decimals}")),
                (f"{thousands:,}", Fraction(thousands)),
                (f"{whole}.{decimals}e-3", Fraction(f"{whole}.{decimals}") / 1000),
            ]
        )
    )
    negative = draw(st.booleans())
    return ("-" + text, -value) if negative else (text, value)


LENGTHS = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "in": INCH,
    '"': INCH,
    "thou": INCH / 1000,
}


@given(notation(), notation(), st.sampled_from(sorted(LENGTHS)), st.sampled_from(["", " ", "  "]))
def test_any_notation_equals_its_rational(
    one: tuple[str, Fraction], two: tuple[str, Fraction], word: str, blank: str
) -> None:
    (text, value), (other, half) = one, two
    assert parse(f"{text}{blank}{word}", "length").value == exactly(value * LENGTHS[word])
    spread = parse(f"{text}{blank}{word} +/- {other.lstrip('-')} {word}")
    assert spread.half_width == exactly(abs(half) * LENGTHS[word])
    low, high = sorted([one, two], key=lambda pair: pair[1])
    middle = parse(f"{low[0]} to {high[0]} {word}")
    assert middle.value == exactly((value + half) / 2 * LENGTHS[word])
    assert middle.half_width == exactly(abs(value - half) / 2 * LENGTHS[word])


JUNK = st.one_of(
    st.text(max_size=300),
    st.text("0123456789 ./-+±x'\"%,eEMmin()#½tolbfKCNgAWG°µ", max_size=250),
    st.builds(
        lambda piece, count: piece * count, st.text("01 /-.+'\"x(mi", min_size=1, max_size=4), st.integers(1, 200)
    ),
)


@given(JUNK, st.sampled_from([None, *KINDS]), st.sampled_from([None, "in", "degC", "%", "bogus", ""]))
def test_junk_raises_nothing_but_a_notation_fault_and_soon(text: str, kind: str | None, unit: str | None) -> None:
    start = time.perf_counter()
    for reader in (read, designation, lambda given: parse(given, kind, unit=unit, place="x")):
        try:
            got = reader(text)
        except NotationFault as fault:
            assert len(str(fault)) < 900  # noqa: PT017 - either outcome is fine, the size of a fault is the point
        else:
            numbers = got.numbers if isinstance(got, Designation) else (got.value, got.half_width or 0.0)
            assert all(math.isfinite(number) for number in numbers)
    assert time.perf_counter() - start < 1.0


def test_the_grammar_in_the_docs_names_what_the_code_reads() -> None:
    grammar = units.__doc__ or ""
    for symbol in ("quantity", "number", "fraction", "thousands", "spread", "range", "unit", "designation"):
        assert re.search(rf"^\s+{symbol}\s+=", grammar, re.MULTILINE), symbol
    for sort in {sort for _, sort, _ in DESIGNATIONS}:
        assert sort in grammar


USUAL_WORDS = ("mm", "in", "thou", "ft", "L", "cc", "kPa", "psi", "bar", "N", "deg", "rpm", "ms", "V", "A", "m", "K")


@given(
    st.from_regex(r"-?[0-9]{1,6}(\.[0-9]{1,6})?", fullmatch=True),
    st.one_of(st.just(""), st.from_regex(r" (\+/-|±) [0-9]{1,4}(\.[0-9]{1,4})?", fullmatch=True)),
    st.sampled_from((*USUAL_WORDS, "AWG", "NPT", "to", "degC", "UNC", "Mm", "MPA")),
    st.sampled_from((None, *units.KINDS)),
)
def test_the_short_way_of_reading_the_usual_form_says_what_the_grammar_says(
    number: str, spread: str, word: str, kind: str | None
) -> None:
    short = units._usual(text := f"{number}{spread} {word}", kind)
    if short is not None:
        assert repr(short) == repr(units._parse(text, kind, None, ""))


def test_the_usual_form_is_read_the_short_way() -> None:
    assert units._usual("188.5 +/- 0.2 mm", "length") == units._parse("188.5 +/- 0.2 mm", "length", None, "")
    for text in ("20 degC", "10 AWG", "188", "8 1/4 in", " 188 mm", "188 mm ", "188 kPa", "1e3 mm"):
        assert units._usual(text, "length") is None
