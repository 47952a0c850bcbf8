"""Every expected number names its origin; ids such as blt-12 are those of the shared check values."""

from __future__ import annotations

import math

import pytest

from kb.sources import SOURCES
from kb.standards import belts


def test_ribbed_width() -> None:
    assert belts.belt_width(6, "pk") * 1e3 == pytest.approx(21.36, abs=0.01)  # blt-12: n x 3.56 mm, ISO 9981


def test_least_diameter() -> None:
    assert belts.section("pk").least * 1e3 == pytest.approx(45.0, abs=0.01)  # blt-14, ISO 9981 clause 5.2


def test_pitch_diameter() -> None:
    # ISO 9981 clause 5.4: the effective line differential is nominally 2 mm, so d + 4 mm
    assert belts.pitch_diameter(56e-3, "pk") * 1e3 == pytest.approx(60.0, abs=1e-9)
    assert belts.pitch_diameter(100e-3, "v15a") * 1e3 == pytest.approx(100.0, abs=1e-9)  # from memory, SAE J636


def test_diameter_over_balls() -> None:
    # SAE J1459: effective diameter = diameter over balls - 0.990 mm
    assert belts.effective_from_balls(60.99e-3) * 1e3 == pytest.approx(60.0, abs=1e-9)
    assert belts.effective_from_balls(belts.balls_from_effective(0.123)) == pytest.approx(0.123)


def test_single_v() -> None:
    # SAE J636, table 1A, read in a summary: 10A is 9.7 mm wide and wants 61 mm, 13A 12.7 and 76, 36 deg groove
    narrow, wide = belts.section("v10a"), belts.section("v13a")
    assert (narrow.width, narrow.least) == pytest.approx((9.7e-3, 61e-3))
    assert (wide.width, wide.least) == pytest.approx((12.7e-3, 76e-3))
    assert math.degrees(narrow.half_angle) == pytest.approx(18.0)
    assert not narrow.ribbed
    assert belts.section("pk").ribbed


def test_every_section_is_whole() -> None:
    for code, each in belts.SECTIONS.items():
        assert each.code == code
        assert each.origin in SOURCES
        assert each.width > 0
        assert each.least > each.width


def test_unknown_section() -> None:
    with pytest.raises(KeyError, match="pz"):
        belts.section("pz")


def test_quantities_pass_through() -> None:
    pint = pytest.importorskip("pint")
    units = pint.UnitRegistry()
    found = belts.pitch_diameter(units.Quantity(2.0, "inch"), "pk")
    assert found.to("mm").magnitude == pytest.approx(54.8)  # 50.8 + 4 mm
    assert belts.effective_from_balls(units.Quantity(60.99, "mm")).to("m").magnitude == pytest.approx(0.06)
