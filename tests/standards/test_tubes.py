"""Bores of tubes and hoses by dash size."""

from __future__ import annotations

import pytest

from kb.errors import Fault, UnknownName
from kb.standards.tubes import DASHES, dash_of, hose_bore, next_size_up, tube_bore, tube_od

INCH = 0.0254


def test_dash_is_sixteenths_of_the_tube() -> None:
    """tub-01: inch dash convention, -6 is 9.525 mm; the rest follows from the convention."""
    assert tube_od(6) == pytest.approx(9.525e-3, abs=1e-9)
    assert [tube_od(dash) for dash in (4, 8, 16)] == pytest.approx([6.35e-3, 12.7e-3, 25.4e-3])
    assert all(dash_of(tube_od(dash)) == dash for dash in DASHES)
    assert dash_of(8e-3) is None


@pytest.mark.parametrize("dash", [0, -4, 65])
def test_no_such_dash(dash: float) -> None:
    with pytest.raises(Fault, match="dash size"):
        tube_od(dash)


def test_bore_of_a_tube() -> None:
    """By hand: 3/8 in less two walls of 0.035 in is 0.305 in."""
    assert tube_bore(6, 0.035 * INCH) == pytest.approx(0.305 * INCH)
    for wall in (0.0, 0.2 * INCH):
        with pytest.raises(Fault, match="no bore"):
            tube_bore(6, wall)


def test_bore_of_a_hose_by_sort() -> None:
    """Published table of a hose shop after SAE J517: -6 is 3/8 in, but 5/16 in for 100R5; -8 is 13/32 in there."""
    assert hose_bore(6, "full") == pytest.approx(3 / 8 * INCH)
    assert hose_bore(6) == pytest.approx(5 / 16 * INCH)
    assert hose_bore(8) == pytest.approx(13 / 32 * INCH)
    assert hose_bore(16) == pytest.approx(7 / 8 * INCH)
    with pytest.raises(UnknownName):
        hose_bore(7)
    with pytest.raises(UnknownName):
        hose_bore(6, "soft")


def test_a_hose_is_never_wider_than_its_tube() -> None:
    """Note of tub-01: a hose of the same dash has a smaller bore than the tube has outside."""
    for dash in (4, 5, 6, 8, 10, 12, 16, 20, 24, 32):
        assert hose_bore(dash) < tube_od(dash)


def test_next_size_up() -> None:
    assert next_size_up(0.0079, "tube") == ("-6", pytest.approx(0.0079375))
    found = next_size_up(0.008)
    assert found is not None
    assert found.name == "-8"
    assert next_size_up(1.0) is None
