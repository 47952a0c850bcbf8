"""Every expected number names its origin; ids such as tub-11 are those of the shared check values."""

from __future__ import annotations

import math

import pytest

from kb.errors import UnknownName
from kb.standards.pipes import (
    FLARE_THREADS,
    PIPE_THREADS,
    TAPER_HALF_ANGLE,
    bsp,
    flare_thread,
    hand_turns,
    mates,
    npt,
    pipe_thread,
    threads_per_inch,
)
from kb.standards.tubes import tube_od

MM, INCH = 1e-3, 0.0254


def test_taper() -> None:
    assert math.degrees(TAPER_HALF_ANGLE) == pytest.approx(1.78991, abs=0.001)  # tub-09: ASME B1.20.1


def test_one_pitch_is_no_interchange() -> None:
    assert [threads_per_inch(npt("1/2")), threads_per_inch(bsp("1/2"))] == [14.0, 14.0]  # tub-11
    assert npt("1/2").diameter / MM == pytest.approx(21.336, abs=1e-6)  # tub-11, note
    assert bsp("1/2").diameter / MM == pytest.approx(20.955, abs=1e-6)  # tub-11, note
    assert [2 * math.degrees(each.flank) for each in (npt("1/2"), bsp("1/2"))] == pytest.approx(
        [60, 55]
    )  # tub-11, note
    assert threads_per_inch(npt("3/4")) == threads_per_inch(bsp("3/4")) == 14.0  # README of the check values
    for size in ("1/2", "3/4"):
        assert not mates(npt(size), bsp(size, taper=True))
        assert not mates(bsp(size), npt(size))


def test_flare_threads() -> None:
    assert flare_thread(6) == "9/16-18"  # tub-04: SAE J514
    assert flare_thread(8) == "3/4-16"  # tub-05: SAE J514
    assert flare_thread(4) == "7/16-20"  # SAE J514, from memory
    assert flare_thread(10) == "7/8-14"  # SAE J514, from memory
    with pytest.raises(UnknownName, match="-7"):
        flare_thread(7)
    for dash in FLARE_THREADS:  # the tube goes through the thread: definition
        assert tube_od(dash) < pipe_thread(f"flare37_{dash}").diameter


def test_npt_pitch_diameters() -> None:
    # E0 and E1 in inches: ASME B1.20.1 table 2, from memory
    for size, end, face in (("1/8", 0.36351, 0.37360), ("1/4", 0.47739, 0.49163), ("1/2", 0.75843, 0.77843)):
        assert npt(size).end_pitch_diameter / INCH == pytest.approx(end, abs=1e-5)
        assert npt(size).face_pitch_diameter / INCH == pytest.approx(face, abs=1e-5)


def test_bsp_pitch_diameters() -> None:
    # ISO 228-1, from memory: pitch diameters of G 1/8 and G 1/2
    assert bsp("1/8").face_pitch_diameter / MM == pytest.approx(9.147, abs=1e-3)
    assert bsp("1/2").face_pitch_diameter / MM == pytest.approx(19.793, abs=1e-3)
    taper = bsp("1/8", taper=True)
    assert taper.face_pitch_diameter - taper.end_pitch_diameter == pytest.approx(4.0 * MM / 16)  # gauge length 4 mm


def test_hand_tight_turns() -> None:
    # ASME B1.20.1: hand-tight engagement of 1/8 NPT is 0.1615 in, of 27 turns to the inch: 4.36 turns
    assert hand_turns(npt("1/8"), npt("1/8")) == pytest.approx(4.36, abs=0.005)
    # By hand for a British taper in an American port: play 0.592 mm, tan 28.75, drift 0.0336 mm, taper 1/16 a pitch.
    slope, drift, pitch = math.tan(math.radians(28.75)), 25.4 / 27 - 25.4 / 28, 25.4 / 28
    play = (0.37360 * 25.4 - 8.897) * slope
    found = hand_turns(bsp("1/8", taper=True), npt("1/8"))
    assert found == pytest.approx((play + drift) / (drift + pitch * slope / 16), rel=2e-3)
    assert hand_turns(npt("1/8"), bsp("1/8", taper=True)) == 0.0  # the American end is thicker than the British mouth
    assert math.isinf(hand_turns(pipe_thread("port_6"), pipe_thread("port_6")))  # straight, one pitch: definition


def test_who_mates_with_whom() -> None:
    for each in PIPE_THREADS.values():
        assert mates(each, each)
    assert mates(bsp("1/4", taper=True), bsp("1/4"))  # ISO 7-1: R in Rp
    assert not mates(bsp("1/4"), bsp("1/4", taper=True))
    assert not mates(bsp("1/4", taper=True), bsp("3/8"))
    assert not mates(pipe_thread("flare37_4"), pipe_thread("flare45_4"))  # one thread, two seats
    with pytest.raises(UnknownName, match="npt_1_9"):
        pipe_thread("npt_1_9")
