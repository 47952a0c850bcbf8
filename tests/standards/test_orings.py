"""Every expected number names its origin; ids such as orn-03 are those of the shared check values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.errors import UnknownName
from kb.sources import SOURCES
from kb.standards import orings

INCH = 0.0254


def test_size_214() -> None:
    ring = orings.as568("214")
    assert ring.inner_diameter / INCH == pytest.approx(0.984, abs=0.0005)  # orn-03: AS568, from memory
    assert ring.cord / INCH == pytest.approx(0.139, abs=0.0005)  # orn-03: AS568, from memory
    assert ring.cord_tolerance / INCH == pytest.approx(0.004)  # orn-07: O-ring design guide


def test_series_1xx_cord() -> None:
    # orn-01: AS568 / ISO 3601-1 (2.62)
    assert orings.AS568_SERIES["1xx"].cord == pytest.approx(2.616e-3, abs=0.005e-3)
    assert orings.as568("-110").cord == orings.AS568_SERIES["1xx"].cord


@pytest.mark.parametrize(
    ("dash", "inches"),
    [
        # AS568, from memory; the ends of the ranges catch a slipped row.
        ("004", 0.070),
        ("012", 0.364),
        ("028", 1.364),
        ("029", 1.489),
        ("041", 2.989),
        ("042", 3.239),
        ("050", 5.239),  # end of the range in published size charts
        ("102", 0.049),  # start of the range in published size charts
        ("150", 2.862),
        ("151", 2.987),
        ("152", 3.237),
        ("178", 9.737),  # end of the range in published size charts
        ("201", 0.171),  # start of the range in published size charts
        ("222", 1.484),
        ("258", 5.984),
        ("259", 6.234),
        ("274", 9.984),
        ("284", 17.955),  # end of the range in published size charts
        ("309", 0.412),  # start of the range in published size charts
        ("325", 1.475),
        ("361", 5.975),
        ("377", 9.975),
        ("395", 25.940),  # end of the range in published size charts
        ("425", 4.475),
        ("445", 7.975),
        ("460", 15.475),
        ("906", 0.468),
        ("932", 2.337),  # end of the range in published size charts
    ],
)
def test_inside_diameters(dash: str, inches: float) -> None:
    assert orings.as568(dash).inner_diameter / INCH == pytest.approx(inches, abs=1e-9)


def test_table_is_complete_and_grows() -> None:
    numbers = orings.as568_numbers()
    # Count of the ranges 004-050, 102-178, 201-284, 309-395, 425-460 and 20 fitting rings: by counting.
    assert len(numbers) == 47 + 77 + 84 + 87 + 36 + 20
    for series in ("0", "1", "2", "3", "4", "9"):
        bores = [orings.as568(n).inner_diameter for n in numbers if n[1] == series]
        assert bores == sorted(set(bores))


@pytest.mark.parametrize("text", [214, "214", "-214", " as568-214 ", "AS568A 214", "AS568D-214"])
def test_ways_to_write_a_size(text: str | int) -> None:
    assert orings.as568(text).dash == "-214"


@pytest.mark.parametrize("text", ["", "051", "999", "21x", "-", "2" * 10_000, " " * 10_000])
def test_unknown_size(text: str) -> None:
    with pytest.raises(UnknownName, match="AS568 ring size"):
        orings.as568(text)


def test_iso_cords_meet_the_inch_series() -> None:
    # ISO 3601-1 rounds the AS568 cords to 0.01 mm.
    for cord, series in zip(orings.ISO_3601_CORDS, orings.AS568_SERIES.values(), strict=True):
        assert cord == pytest.approx(series.cord, abs=0.006e-3)


@pytest.mark.parametrize(
    ("cord", "tolerance"),
    # ISO 3601-1 class B, from memory; each step just at and just above its limit.
    [(1.0, 0.08), (2.25, 0.08), (2.26, 0.09), (3.15, 0.09), (3.16, 0.10), (4.6, 0.13), (6.3, 0.13), (8.0, 0.15)],
)
def test_iso_cord_tolerance(cord: float, tolerance: float) -> None:
    assert orings.iso_3601_cord_tolerance(cord * 1e-3) == pytest.approx(tolerance * 1e-3)


def test_iso_bore_tolerance() -> None:
    # ISO 3601-1 class B formula, from memory: 0.009 * 1^0.95 + 0.11 at 1 mm
    assert orings.iso_3601_bore_tolerance(1e-3) == pytest.approx(0.119e-3)


def test_squeeze_of_a_face_gland() -> None:
    # orn-06: squeeze = (W - depth)/W
    assert 100 * orings.squeeze(0.139 * INCH, 0.104 * INCH) == pytest.approx(25.18, abs=0.1)


def test_gland_deeper_than_the_cord() -> None:
    # orn-14: squeeze definition
    assert 100 * orings.squeeze(2.62e-3, 2.72e-3) == pytest.approx(-3.817, abs=0.02)


def test_squeeze_at_worst_case() -> None:
    found = orings.squeeze_extremes(0.139 * INCH, 0.004 * INCH, 0.110 * INCH, 0.116 * INCH)
    assert 100 * found.least == pytest.approx(14.07, abs=0.15)  # orn-07: W least, depth most
    assert 100 * found.most == pytest.approx(23.08, abs=0.01)  # derived: (0.143 - 0.110)/0.143


def test_empirical_thinning() -> None:
    # orn-13: SAE AS4716 / seal handbooks, from memory
    assert 100 * orings.thinning_empirical(0.03) == pytest.approx(2.476, abs=0.02)
    # upper branch, from memory: 0.56 + 0.59*5 - 0.0046*25
    assert 100 * orings.thinning_empirical(0.05) == pytest.approx(3.395, abs=1e-9)
    assert orings.thinning_empirical(0.0) == 0.0  # the polynomial alone gives -0.005 %


def test_constant_volume_thinning() -> None:
    # derived: 1 - 1/sqrt(1.03); orn-13 notes that the empirical value is about 1.7 times this
    thinning = orings.thinning_constant_volume(0.03)
    assert 100 * thinning == pytest.approx(1.467, abs=0.001)
    assert orings.thinning_empirical(0.03) / thinning == pytest.approx(1.7, abs=0.05)
    assert orings.thinned_cord(3.53e-3, thinning) == pytest.approx(3.478e-3, abs=0.001e-3)  # derived


@given(st.floats(0.001, 0.2), st.floats(0, 0.2), st.floats(0.001, 0.01))
def test_constant_volume_keeps_the_volume(bore: float, stretched: float, cord: float) -> None:
    thin = orings.thinned_cord(cord, orings.thinning_constant_volume(stretched))
    # Definition: length grows by the stretch, section shrinks by the same factor.
    assert thin**2 * (1 + stretched) == pytest.approx(cord**2)


def test_stretch() -> None:
    # definition: 25.74 on 24.99 is 3 %
    assert orings.stretch(24.9936e-3, 24.9936e-3 * 1.03) == pytest.approx(0.03)


def test_fill() -> None:
    # orn-10: pi W^2/4 / (depth * width)
    assert 100 * orings.fill(0.139 * INCH, 0.104 * INCH, 0.195 * INCH) == pytest.approx(74.83, abs=0.2)


@given(st.floats(0.01, 0.1), st.floats(0.001, 0.007), st.floats(0.5, 1.0), st.floats(1.0, 2.0))
def test_fill_by_volume(bore: float, cord: float, depth_share: float, width_share: float) -> None:
    depth, width = cord * depth_share, cord * width_share
    # Definition: torus volume over the volume between two cylinders.
    import math

    torus = math.pi**2 * cord**2 * (bore + cord) / 4
    gland = math.pi / 4 * ((bore + 2 * depth) ** 2 - bore**2) * width
    assert orings.fill(cord, depth, width, bore) == pytest.approx(torus / gland)
    assert orings.fill(cord, depth, width, bore, bore * 1.03) < orings.fill(cord, depth, width, bore)


def test_cord_length() -> None:
    # geo-09: pi (ID + W)
    assert 1e3 * orings.cord_length(0.984 * INCH, 0.139 * INCH) == pytest.approx(89.6114, rel=1e-4)


def test_gland_depth_range_of_a_353_cord() -> None:
    # trade rules, pickup-seal-squeeze: 2.54 to 3.00 mm for 28 and 15 %, computed there
    assert 1e3 * orings.gland_depth(3.53e-3, orings.FACE_SQUEEZE.high) == pytest.approx(2.54, abs=0.005)
    assert 1e3 * orings.gland_depth(3.53e-3, orings.RADIAL_SQUEEZE.low) == pytest.approx(3.00, abs=0.005)


def test_typical_radial_squeeze() -> None:
    # ends: sealing handbook abstract
    assert orings.typical_radial_squeeze(1.78e-3) == pytest.approx(0.27)
    assert orings.typical_radial_squeeze(7.0e-3) == pytest.approx(0.18)
    assert orings.typical_radial_squeeze(20e-3) == pytest.approx(0.18)


def test_bands_name_known_sources() -> None:
    bands = [value for value in vars(orings).values() if isinstance(value, orings.Band)]
    assert len(bands) == 5
    assert {band.source for band in bands} <= set(SOURCES)
    assert (orings.RADIAL_SQUEEZE.low, orings.RADIAL_SQUEEZE.high) == (0.15, 0.22)  # O-ring design guide
    assert (orings.FACE_SQUEEZE.low, orings.FACE_SQUEEZE.high) == (0.20, 0.28)  # O-ring design guide
    assert (orings.FACE_SQUEEZE_WIDE.low, orings.FACE_SQUEEZE_WIDE.high) == (0.10, 0.35)  # lecture notes
