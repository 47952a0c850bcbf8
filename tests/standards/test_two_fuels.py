"""From the set for one fuel to that for another: areas, window, kit, order and way back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import Fault, UnknownName
from kb.standards.fuels import ETHANOL, PETROL, Fuel, ethanol_blend, fuel_named
from kb.standards.two_fuels import (
    Calibration,
    Passage,
    annulus,
    jet_bore,
    jet_number,
    lambda_factor,
    ratios,
    scaled_bore,
    scaled_rod,
    sizes_to_carry,
    swap,
    thumb_band,
)

MM = 1e-3
SET = Calibration(
    (
        Passage("main", "main_jet", 1.45 * MM),
        Passage("rod", "main_jet", 2.50 * MM, 1.50 * MM),
        Passage("idle", "idle_jet", 0.70 * MM),
        Passage("power", "power_restriction", 1.00 * MM),
        Passage("nozzle", "accelerator_nozzle", 0.70 * MM),
        Passage("seat", "needle_seat", 2.60 * MM),
        Passage("bleed", "air_bleed", 0.90 * MM),
    ),
    shot=1.2e-6,
)
E85 = ethanol_blend(0.85, name="E85")


def test_ratio_of_areas() -> None:
    """fue-17 of the check values: 1.45317 with these figures, derived from the definition."""
    first = Fuel("petrol", 14.6013141, 745.0, 43.4e6, 0.6e-6)
    second = Fuel("ethanol blend", 9.80259535, 782.758259, 29e6, 1.3e-6, 0.85)
    of = ratios(first, second)
    assert of.area == pytest.approx(1.45317, rel=1e-5)
    assert of.diameter == pytest.approx(math.sqrt(1.45317), rel=1e-5)


def test_window_of_diameters() -> None:
    """Trade rules, computed there: 1.14 at thirty per cent to 1.21 by full stoichiometry."""
    by_name = {each.name: each for each in swap(SET, PETROL, E85).changes}
    main = by_name["main"]
    assert main.start / main.now == pytest.approx(1.21, abs=0.01)
    assert main.lean / main.now == pytest.approx(math.sqrt(1.20), rel=1e-6)  # the lower of the published rules
    assert main.rich == main.start
    assert thumb_band(0.0, 0.85) == pytest.approx((1.20, 1.30))
    assert thumb_band(0.85, 0.0) == pytest.approx((1 / 1.30, 1 / 1.20))
    assert thumb_band(0.5, 0.5) == pytest.approx((1.0, 1.0))


def test_every_circuit_scales_by_open_area() -> None:
    of = ratios(PETROL, E85)
    for each, before in zip(swap(SET, PETROL, E85).changes, SET.passages, strict=True):
        if each.circuit == "air_bleed":
            assert each.keep
            assert each.start == before.bore
            continue
        assert annulus(each.start, before.rod) == pytest.approx(annulus(before.bore, before.rod) * of.area), each.name
    assert swap(SET, PETROL, E85).shot == pytest.approx((1.2e-6, 1.2e-6 * of.volume))


def test_a_seat_has_no_rule_of_thumb() -> None:
    (seat,) = [each for each in swap(SET, PETROL, E85).changes if each.name == "seat"]
    assert seat.lean == seat.start == seat.rich


def test_the_rod_may_change_instead_of_the_jet() -> None:
    """The open area is the same either way (definition); where no rod is enough, there is none."""
    rod = scaled_rod(2.50 * MM, 1.50 * MM, 1.3)
    assert rod is not None
    assert annulus(2.50 * MM, rod) == pytest.approx(1.3 * annulus(2.50 * MM, 1.50 * MM))
    assert scaled_rod(2.50 * MM, 1.50 * MM, 1.6) is None


@given(
    st.floats(0, 1), st.floats(0, 1), st.floats(0.2e-3, 4e-3), st.floats(0, 0.95),
)  # fmt: skip
def test_there_and_back_is_where_one_started(one: float, other: float, bore: float, share: float) -> None:
    first, second = ethanol_blend(one), ethanol_blend(other)
    of, back = ratios(first, second), ratios(second, first)
    rod = bore * share
    there = scaled_bore(bore, of.area, rod)
    assert scaled_bore(there, back.area, rod) == pytest.approx(bore)
    assert of.area * back.area == pytest.approx(1.0)
    assert lambda_factor(first, second) * lambda_factor(second, first) == pytest.approx(1.0)


def test_the_wrong_way_round_is_told_in_lambda() -> None:
    """Definition: E85 on petrol jets runs as lean as its jets would have to be larger."""
    wrong = dict(swap(SET, PETROL, E85).wrong_way)
    assert wrong["E85 on the set for petrol"] == pytest.approx(ratios(PETROL, E85).area)
    assert wrong["petrol on the set for E85"] == pytest.approx(1 / ratios(PETROL, E85).area)


def test_what_to_carry() -> None:
    """From the last size at or under the lean end to the first at or over the rich one, by hand."""
    assert sizes_to_carry(1.58 * MM, 1.74 * MM) == pytest.approx([1.55 * MM, 1.6 * MM, 1.65 * MM, 1.7 * MM, 1.75 * MM])
    ladder = [1.5 * MM, 1.6 * MM, 1.7 * MM, 1.8 * MM, 2.0 * MM]
    assert sizes_to_carry(1.58 * MM, 1.74 * MM, ladder) == pytest.approx([1.5 * MM, 1.6 * MM, 1.7 * MM, 1.8 * MM])
    assert sizes_to_carry(1.6 * MM, 1.7 * MM, ladder) == pytest.approx([1.6 * MM, 1.7 * MM])
    assert sizes_to_carry(2.1 * MM, 2.3 * MM, ladder) == (2.0 * MM,)
    found = swap(SET, PETROL, E85, ladder)
    assert all(size in ladder for each in found.changes for size in each.buy)


def test_order_kit_and_the_way_back() -> None:
    there, back = swap(SET, PETROL, E85), swap(SET, E85, PETROL)
    assert any("shake test" in step for step in there.order)
    assert any("lean" in step for step in there.order)
    assert any("spare fuel filters" in item for item in there.kit)
    assert not any("spare fuel filters" in item for item in back.kit)
    assert any("rich" in step for step in there.back)
    assert any("lean" in step for step in back.back)
    assert there.kit[0].startswith("main: 1.55 mm")  # 1.45 mm x sqrt 1.2 is 1.588 mm: the step under it
    assert "extinguisher" in there.caution
    assert any("51 to 83 %" in line for line in there.only_wideband)


def test_other_fuels_have_no_rule_of_thumb() -> None:
    methanol = fuel_named("methanol")
    found = swap(SET, PETROL, methanol)
    assert found.ratios.thumb is None
    # (14.6 / 6.47) sqrt(745 / 791.3) by hand: 2.19.
    assert found.ratios.area == pytest.approx(2.19, abs=0.01)
    assert all(each.lean == each.start == each.rich for each in found.changes if not each.keep)
    assert ratios(PETROL, ETHANOL).thumb is not None


def test_numbered_jets() -> None:
    assert jet_bore(145, "hundredths of a millimetre") == pytest.approx(1.45 * MM)
    assert jet_bore(57, "thousandths of an inch") == pytest.approx(1.4478 * MM)
    with pytest.raises(UnknownName):
        jet_bore(68, "house numbers")
    table = [("68", 1.70 * MM), ("70", 1.78 * MM), ("66", 1.63 * MM)]
    assert jet_number(1.65 * MM, table) == ("68", 1.70 * MM)
    assert jet_number(2.0 * MM, table) == ("70", 1.78 * MM)
    with pytest.raises(Fault, match="empty"):
        jet_number(1.0 * MM, [])


@pytest.mark.parametrize(
    ("passage", "words"),
    [
        (Passage("x", "choke", 1e-3), "circuit"),
        (Passage("x", "main_jet", 0.0), "no open area"),
        (Passage("x", "main_jet", 1e-3, 1e-3), "no open area"),
        (Passage("x", "main_jet", math.nan), "no open area"),
    ],
)
def test_what_is_no_passage(passage: Passage, words: str) -> None:
    with pytest.raises(Fault, match=words):
        swap(Calibration((passage,)), PETROL, E85)


def test_richer_fuel_by_stages_adds_up() -> None:
    """Petrol to E51 to E83 is petrol to E83 (definition)."""
    low, high = ethanol_blend(0.51), ethanol_blend(0.83)
    assert ratios(PETROL, low).area * ratios(low, high).area == pytest.approx(ratios(PETROL, high).area)
