"""Every expected number names its origin; ids such as pat-01 are those of the shared check values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import NotationFault
from kb.standards import patterns as pat

INTERVALS = st.lists(st.integers(1, 40), min_size=2, max_size=24)
SEVEN_SLOTS = "10,50,60,60,60,60,60"


def wheel(shares: list[int], start: float = 0.0) -> pat.Pattern:
    turn = sum(shares)
    return pat.Pattern("made", tuple(360 * share / turn for share in shares), start)


def test_rates() -> None:
    assert pat.pitch_frequency(60, 3000 / 60) == pytest.approx(3000, rel=1e-6)  # pat-01: positions*rpm/60
    assert pat.pulse_rate(pat.parse_pattern("60-2").pulses, 3000 / 60) == pytest.approx(2900)  # definition: 58 teeth
    assert pat.pulse_rate(pat.parse_pattern("135").pulses, 3000 / 60) == pytest.approx(6750, rel=1e-6)  # pat-06
    assert pat.tooth_period(60, 200 / 60) * 1e3 == pytest.approx(5.0, rel=1e-6)  # pat-11: 60/(rpm*positions)


def test_angles() -> None:
    assert pat.pitch_angle(60) == pytest.approx(6.0, abs=1e-9)  # pat-03
    assert pat.parse_pattern("60-2").pitch == pytest.approx(6.0, abs=1e-9)  # pat-03
    assert pat.gap_angle(36, 1) == pytest.approx(20.0, abs=1e-9)  # pat-04: (missing+1)*360/positions
    assert pat.parse_pattern("36-1").largest_gap == pytest.approx(20.0, abs=1e-9)  # pat-04
    assert pat.pitch_angle(24) == pytest.approx(15.0, abs=1e-9)  # pat-13: a signal every 15 degrees


def test_seven_slots() -> None:
    assert pat.parse_pattern(SEVEN_SLOTS).ratio == pytest.approx(6.0, abs=1e-9)  # pat-08: definition


def test_sixty_minus_two() -> None:
    found = pat.parse_pattern("60-2")
    assert found.pulses == 58  # check values, conventions
    assert found.gaps == (18.0,)  # check values, conventions
    assert found.angles[0] == 0.0
    assert found.angles[-1] == pytest.approx(57 * 6)  # definition: the gap ends the turn
    assert found.ratio == pytest.approx(3)  # trade rules: m missing teeth give a gap m + 1 times as long


@given(st.integers(2, 200), st.integers(1, 199))
def test_missing_teeth_in_general(positions: int, missing: int) -> None:
    if missing >= positions:
        with pytest.raises(NotationFault):
            pat.parse_pattern(f"{positions}-{missing}")
        return
    found = pat.parse_pattern(f"{positions}-{missing}")
    assert found.pulses == positions - missing
    assert sum(found.intervals) == pytest.approx(360)
    assert found.largest_gap == pytest.approx(pat.gap_angle(positions, missing))
    assert found.pitch == pytest.approx(pat.pitch_angle(positions))


def test_several_gaps() -> None:
    found = pat.parse_pattern("36-2-2-2")
    assert (found.pulses, found.placed) == (30, False)
    assert found.gaps == (30.0, 30.0, 30.0)  # definition: (2 + 1) 360/36
    placed = pat.parse_pattern("36-2@0-2@16-2@19")
    assert (placed.pulses, placed.placed) == (30, True)
    assert placed.angles[0] == 20.0  # definition: positions 0 and 1 are missing
    # definition: 14 teeth at 2..15, gap, one tooth at 18, gap, 15 teeth at 21..35
    assert [round(i / 10) for i in placed.intervals] == [1] * 13 + [3, 3] + [1] * 14 + [3]
    assert str(pat.same_pattern(found, placed)) == "different"


def test_extra_tooth() -> None:
    found = pat.parse_pattern("12+1")
    assert found.pulses == 13
    assert found.intervals[:3] == (15.0, 15.0, 30.0)  # definition
    assert not found.even


def test_even_wheel() -> None:
    found = pat.parse_pattern("24")
    assert (found.pulses, found.even, found.gaps) == (24, True, ())
    # pat-13, note: an even ring cannot stand in for an uneven wheel of 24 teeth
    uneven = pat.parse_pattern(",".join(["14,16"] * 12))
    assert uneven.pulses == 24
    assert pat.same_pattern(found, uneven).sort == "different"


@pytest.mark.parametrize(
    "code",
    [
        *["", "-", "x", "0", "721", "36-0", "36-36", "36--1", "36-1-", "36-1@36", "36-2@0-2@1", "36-1@0-1", "35-1-1"],
        *["10,20", "400,-40", "nan,360", "10;abc", "inf,1", "36-9999", "1+1+1", "9" * 10_000, "1," * 10_000],
    ],
)
def test_refused_codes(code: str) -> None:
    with pytest.raises(NotationFault, match="is not a tooth pattern") as caught:
        pat.parse_pattern(code)
    assert len(str(caught.value)) < 400


def test_listed_intervals_close_the_turn() -> None:
    found = pat.parse_pattern("51.43 51.43 51.43 51.43 51.43 51.43 51.43")
    assert sum(found.intervals) == pytest.approx(360, abs=1e-9)
    assert found.even
    with pytest.raises(NotationFault, match="add up to 350 degrees"):
        pat.parse_pattern("10,50,60,60,60,60,50")


def test_same_pattern() -> None:
    a = pat.parse_pattern("36-1")
    assert str(pat.same_pattern(a, pat.parse_pattern("36-1"))) == "same"
    # trade rules, wheel-index-angle: 9 teeth off of 60 = 54 degrees
    ring = pat.parse_pattern("60-2")
    assert str(pat.same_pattern(ring, pat.parse_pattern("60-2", start=54))) == "clocked by 54 deg"
    assert str(pat.same_pattern(ring, pat.parse_pattern("60-2@9"))) == "clocked by 66 deg"  # first tooth at 11 * 6
    assert str(pat.same_pattern(a, ring)) == "different"
    # An even wheel looks the same after every tooth.
    assert pat.same_pattern(pat.parse_pattern("24"), pat.parse_pattern("24", start=50)).angle == pytest.approx(5)


def test_mirrored_pattern() -> None:
    a = pat.parse_pattern("60,70,80,150")
    assert str(pat.same_pattern(a, pat.parse_pattern("150,80,70,60"))) == "mirrored"
    assert str(pat.same_pattern(a, pat.parse_pattern("70,80,150,60"))) == "clocked by 300 deg"
    # A wheel with one gap is its own mirror image.
    assert pat.same_pattern(pat.parse_pattern("36-1"), pat.mirrored(pat.parse_pattern("36-1"))).sort != "mirrored"


def test_measured_wheel_needs_a_tolerance() -> None:
    measured = pat.parse_pattern("10.3,49.9,60.1,59.8,60.1,59.9,59.9")
    assert pat.same_pattern(pat.parse_pattern(SEVEN_SLOTS), measured).sort == "different"
    assert pat.same_pattern(pat.parse_pattern(SEVEN_SLOTS), measured, tolerance=0.5).sort == "same"


@given(INTERVALS, st.integers(0, 30))
def test_canonical_form_ignores_rotation(shares: list[int], shift: int) -> None:
    shift %= len(shares)
    turned = shares[shift:] + shares[:shift]
    form = pat.canonical(wheel(shares))
    assert pat.canonical(wheel(turned)) == form
    rotations = [form[i:] + form[:i] for i in range(len(form))]
    assert form == min(rotations)


@given(INTERVALS, st.integers(0, 359))
def test_clocking_is_found(shares: list[int], turn: int) -> None:
    a, b = wheel(shares), wheel(shares, float(turn))
    found = pat.same_pattern(a, b, tolerance=1e-6)
    assert found.sort in {"same", "clocked"}
    landed = sorted((angle + found.angle) % 360 for angle in a.angles)
    for angle in b.angles:
        assert min(min((angle - x) % 360, (x - angle) % 360) for x in landed) < 1e-6


@given(INTERVALS)
def test_mirror_image_is_recognised(shares: list[int]) -> None:
    a = wheel(shares)
    sort = pat.same_pattern(a, pat.mirrored(a)).sort
    own_image = pat.canonical(a) == pat.canonical(pat.mirrored(a))
    assert sort == ("mirrored" if not own_image else sort)
    assert sort != "different"
