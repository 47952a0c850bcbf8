"""Readings held against their bands. 1 psi = 6894.757 Pa (exact by definition of the pound and the inch)."""

from __future__ import annotations

import math
from typing import Any

import pytest

from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.gauges import STATES, GaugeReading, places
from kb.measure import Dimension
from kb.ready.bands import TIERS, BandFinding, bands_for, declared, judge_readings, series, steady
from kb.records.part import Part
from kb.rules._rule import HARMS
from kb.say.bands import as_json, as_text, series_title, status, told, trend_words
from kb.sources import source

PSI = 6894.757293168361
RPM = 1 / 60
HOT = 361.15  # 88 degC


def part(kind: str, **facts: Any) -> Part:
    return Part(f"the-{kind}", kind, kind, facts=facts)


def figure(value: float) -> Dimension:
    return Dimension(value)


CARB = part("carburettor", inlet_pressure_least=figure(28e3), inlet_pressure_most=figure(48e3))
COIL = part("position_sensor", sense="reluctor_coil", gap_least=figure(0.5e-3), gap_most=figure(1.5e-3))
RADIATOR = part("radiator", cap_pressure=figure(0.0))
WATER = part("coolant_circuit", glycol=figure(0.0))
BUILD = Build(
    "it", "It", {"carburettor": CARB, "crank_sensor": COIL, "radiator": RADIATOR, "coolant_circuit": WATER}
)  # fmt: skip
BARE = Build("bare", "Bare", {})


def taken(place: str, value: float | str, state: str, half: float | None = 0.0, **more: Any) -> GaugeReading:
    quantity = places()[place].quantity
    return GaugeReading("r", "it", place, value, half, state=state, quantity=quantity, **more)


def judged(place: str, value: float | str, state: str, half: float | None = 0.0, **more: Any) -> BandFinding:
    (found,) = judge_readings(more.pop("build", BUILD), [taken(place, value, state, half, **more)])
    return found


# -- oil --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("psi", "rpm", "state", "verdict", "because"),
    [
        (22, 760, "idling", FITS, "limits"),  # trade page: hot idle 20 to 25 psi
        (20, 760, "idling", FITS, "limits"),  # on the bound
        (18, 760, "idling", OPEN, "outside_usual"),  # above the floor of 7.6 psi, below what is usual
        (7.6, 760, "idling", OPEN, "outside_usual"),  # on the floor: 10 psi for each 1000 rpm
        (7.5, 760, "idling", NOT, "limits"),
        (50, 3000, "running", FITS, "limits"),  # trade page: 45 to 50 psi at 2500 rpm and more
        (40, 3000, "running", OPEN, "outside_usual"),
        (29, 3000, "running", NOT, "limits"),  # floor 30 psi
        (160, 3000, "running", NOT, "limits"),  # about 150 psi bends a filter (trade page)
    ],
)
def test_hot_oil_pressure(psi: float, rpm: float, state: str, verdict: str, because: str) -> None:
    found = judged("oil-gallery", psi * PSI, state, speed=rpm * RPM, temperature=HOT)
    assert (found.verdict, found.because) == (verdict, because)


def test_the_gauge_s_error_decides_near_the_floor() -> None:
    """30 psi at 3000 rpm +/- 2 psi, rectangular: half of it lies below the floor. Derived from the definition."""
    found = judged("oil-gallery", 30 * PSI, "running", 2 * PSI, speed=3000 * RPM, temperature=HOT)
    assert found.verdict == OPEN
    assert found.because == "spread"
    assert found.probability == pytest.approx(0.5, abs=1e-6)
    assert found.low == pytest.approx(30 * PSI)


def test_cold_oil_is_not_held_against_the_hot_floor() -> None:
    found = judged("oil-gallery", 6 * PSI, "idling", speed=760 * RPM, temperature=288.15)
    assert [band.id for band in found.bands if band.low is not None] == []
    assert judged("oil-gallery", 90 * PSI, "idling", speed=1200 * RPM, temperature=288.15).because == "outside_usual"


def test_what_was_not_noted_is_asked_for_unless_it_holds_anyway() -> None:
    low = judged("oil-gallery", 12 * PSI, "running", speed=3000 * RPM)
    assert (low.verdict, low.because) == (OPEN, "open")
    assert "temperature" in low.waiting
    assert judged("oil-gallery", 12 * PSI, "running").waiting == ("speed", "temperature")
    good = judged("oil-gallery", 60 * PSI, "running", speed=3000 * RPM)
    assert (good.verdict, good.waiting) == (FITS, ())


@pytest.mark.parametrize(("code", "verdict"), [("none", NOT), ("fades", NOT), ("steady", FITS), ("jumps", OPEN)])
def test_what_the_eye_saw_of_the_pressure(code: str, verdict: str) -> None:
    assert judged("oil-gallery", code, "primed").verdict == verdict


# -- current ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "verdict", "tier"),
    [
        (0.15, FITS, "low"),  # 0.2 V a side (trade page)
        (0.2, FITS, "low"),
        (0.35, FITS, "tolerated"),
        (0.5, FITS, "tolerated"),  # 0.5 V from post to stud (service manual)
        (0.6, NOT, "tolerated"),
    ],
)
def test_feed_drop(volts: float, verdict: str, tier: str) -> None:
    found = judged("start-feed-drop", volts, "cranking")
    assert (found.verdict, found.tier) == (verdict, tier)


def test_return_drop_is_held_to_less() -> None:
    assert judged("start-starter-case", 0.3, "cranking").verdict == FITS  # instrument manual: 0.3 V
    assert judged("start-starter-case", 0.4, "cranking").verdict == NOT


def test_battery_while_cranking_and_at_rest() -> None:
    assert judged("start-battery-posts", 9.6, "cranking").verdict == FITS  # trade page: 9.6 V
    assert judged("start-battery-posts", 9.3, "cranking").verdict == NOT
    rest = judged("start-battery-posts", 12.0, "at_rest")  # trade page: 12.4 V; what is usual never condemns
    assert (rest.verdict, rest.because) == (OPEN, "outside_usual")


# -- fuel, coolant, signal --------------------------------------------------------------------------------------------


def test_carburettor_pressure_has_its_maker_s_band_and_a_wider_one() -> None:
    assert judged("fuel-inlet", 40e3, "idling").tier == "normal"
    beyond = judged("fuel-inlet", 24e3, "idling")  # under this one's 28 kPa, over 3 psi = 20.7 kPa
    assert (beyond.verdict, beyond.because, beyond.low) == (OPEN, "outside_usual", 28e3)
    assert judged("fuel-inlet", 60e3, "idling").verdict == NOT  # over 8 psi = 55.2 kPa
    assert judged("fuel-inlet", 60e3, "idling", build=BARE).because == "no band"


def test_coolant_boils_under_its_cap() -> None:
    """Water without a cap boils at 99.97 degC (IAPWS-IF97 at 101.325 kPa)."""
    assert judged("coolant-engine-outlet", 273.15 + 99.9, "running").verdict == FITS
    boiled = judged("coolant-engine-outlet", 273.15 + 100.1, "running")
    assert boiled.verdict == NOT
    assert boiled.high == pytest.approx(273.15 + 99.97, abs=0.02)


def test_bounds_that_the_build_does_not_tell_are_asked_for() -> None:
    assert judged("coolant-engine-outlet", 360.0, "running", build=BARE).waiting == ("radiator.cap_pressure",)


def test_a_sensor_s_gap_is_held_against_its_own_figures() -> None:
    assert judged("signal-sensor-gap", 1.0e-3, "at_rest").verdict == FITS
    assert judged("signal-sensor-gap", 1.6e-3, "at_rest").verdict == NOT
    assert judged("signal-sensor", 0.3, "cranking").because == "outside_usual"  # 0.5 V: trade page, what is usual


def test_memory_never_condemns() -> None:
    for place, value, state in (
        ("oil-temperature", 450.0, "running"), ("charge-battery-running", 17.0, "running"),
        ("air-crankcase", 5e3, "idling"), ("start-cranking-speed", 0.5, "cranking"),
    ):  # fmt: skip
        found = judged(place, value, state)
        assert found.source is not None
        assert (found.verdict, found.source.id) == (OPEN, "memory"), place


def test_a_place_without_a_band_is_told_as_such() -> None:
    found = judged("charge-lamp", "glows", "running")
    assert (found.verdict, found.because) == (OPEN, "no band")
    assert status([found]) == 3


# -- the data ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("row", declared(), ids=lambda row: row["id"])
def test_every_band_is_well_formed(row: dict[str, Any]) -> None:
    assert row["tier"] in TIERS
    assert row["harm"] in HARMS
    assert set(row["states"]) <= set(STATES)
    assert source(row["source"])
    assert row["why"]
    for name in row["places"]:
        place = places()[name]
        assert set(row.get("good", ())) | set(row.get("bad", ())) <= set(place.options)
        for state in row["states"]:
            reading = taken(name, 1.0, state, speed=3000 * RPM, temperature=HOT)
            bands, waiting = bands_for(BUILD, reading)
            assert bands or waiting


def test_ids_of_bands_are_used_once_and_lows_lie_below_highs() -> None:
    assert len({row["id"] for row in declared()}) == len(declared())
    for row in declared():
        reading = taken(row["places"][0], 1.0, row["states"][0], speed=3000 * RPM, temperature=HOT)
        for band in bands_for(BUILD, reading)[0]:
            if band.low is not None and band.high is not None:
                assert band.low < band.high, band.id


# -- over several starts ----------------------------------------------------------------------------------------------


def course(*psi: float, half: float = PSI) -> list[BandFinding]:
    readings = [
        taken("oil-gallery", value * PSI, "idling", half, speed=760 * RPM, temperature=HOT, start=start, date="2024")
        for start, value in enumerate(psi, 1)
    ]
    return judge_readings(BUILD, readings)


def test_series_hold_like_with_like() -> None:
    cold = judge_readings(BUILD, [taken("oil-gallery", 70 * PSI, "idling", temperature=288.0, speed=20.0)] * 2)
    found = series([*cold, *course(25, 24, 23), judged("start-feed-drop", 0.1, "cranking")])
    assert [len(each.found) for each in found] == [2, 3]
    assert [each.reading.start for each in found[1].found] == [1, 2, 3]
    assert "760 rpm" in series_title(found[1])
    assert "88 degC" in series_title(found[1])


def test_a_course_is_told_beyond_the_gauge_s_error_or_by_its_steadiness() -> None:
    """Two readings of +/- 1 psi differ surely beyond sqrt(2) psi. Derived from the definition."""
    assert math.hypot(1, 1) < 2
    (gone,) = series(course(25, 23))
    assert "fallen beyond" in trend_words(gone)[0]
    (still,) = series(course(25, 24))
    assert "no change" in trend_words(still)[0]
    (slow,) = series(course(24.0, 23.8, 23.6, 23.4))
    assert steady(slow.found)
    assert "fallen from each time to the next" in trend_words(slow)[0]


def test_words_and_data_tell_the_same() -> None:
    found = [*course(25, 18), judged("start-feed-drop", 0.6, "cranking"), judged("oil-lamp", "on", "running")]
    text = as_text(BUILD, found, width=90)
    assert max(map(len, text.splitlines())) <= 90
    data = as_json(BUILD, found)
    assert data["exit_status"] == status(found) == 1
    assert [each["verdict"] for each in data["readings"]] == [each.verdict for each in found] == [FITS, OPEN, NOT, NOT]
    assert told(found)[1].headline == "outside what is usual: 137.9 kPa to 241.3 kPa"  # 20 and 35 psi
    assert status(course(25)) == 0
    assert "matchmark reading it" in as_text(BUILD, [])
