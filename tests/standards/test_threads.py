"""Every expected number names its origin; ids such as thr-17 are those of the shared check values."""

from __future__ import annotations

import math

import pytest

from kb.errors import Fault, NotationFault, UnknownName
from kb.standards import fasteners as fas
from kb.standards.threads import DESIGNATIONS, bolt_limits, hole_limits, run, same, thread

MM, INCH = 1e-3, 0.0254


@pytest.mark.parametrize(
    ("name", "major", "pitch", "hole_pitch", "hole_minor"),
    [  # Limits of 6g and 6H in mm: ISO 965-2 tables, from memory
        ("M3x0.5", (2.874, 2.980), (2.580, 2.655), (2.675, 2.775), (2.459, 2.599)),
        ("M5x0.8", (4.826, 4.976), (4.361, 4.456), (4.480, 4.605), (4.134, 4.334)),
        ("M6x1", (5.794, 5.974), (5.212, 5.324), (5.350, 5.500), (4.917, 5.153)),
        ("M8x1.25", (7.760, 7.972), (7.042, 7.160), (7.188, 7.348), (6.647, 6.912)),
        ("M10x1.5", (9.732, 9.968), (8.862, 8.994), (9.026, 9.206), (8.376, 8.676)),
        ("M12x1.75", (11.701, 11.966), (10.679, 10.829), (10.863, 11.063), (10.106, 10.441)),
        ("M16x2", (15.682, 15.962), (14.503, 14.663), (14.701, 14.913), (13.835, 14.210)),
        ("M20x2.5", (19.623, 19.958), (18.164, 18.334), (18.376, 18.600), (17.294, 17.744)),
    ],
)
def test_metric_limits(
    name: str, major: tuple[float, float], pitch: tuple[float, float], hole_pitch: tuple[float, float],
    hole_minor: tuple[float, float],
) -> None:  # fmt: skip
    bolt, hole = bolt_limits(thread(name)), hole_limits(thread(name))
    for found, due in ((bolt.major, major), (bolt.pitch, pitch), (hole.pitch, hole_pitch), (hole.minor, hole_minor)):
        assert [each * 1000 for each in found] == pytest.approx(due, abs=0.0011)


@pytest.mark.parametrize(
    ("name", "major", "pitch", "hole_pitch", "hole_minor"),
    [  # Limits of 2A and 2B in inches: ASME B1.1 tables, from memory; those of 3/8-16 also in thr-17
        ("1/4-20", (0.2408, 0.2489), (0.2127, 0.2164), (0.2175, 0.2224), (0.196, 0.207)),
        ("5/16-18", (0.3026, 0.3113), (0.2712, 0.2752), (0.2764, 0.2817), (0.252, 0.265)),
        ("3/8-16", (0.3643, 0.3737), (0.3287, 0.3331), (0.3344, 0.3401), (0.307, 0.321)),
        ("1/2-13", (0.4876, 0.4985), (0.4435, 0.4485), (0.4500, 0.4565), (0.417, 0.434)),
    ],
)
def test_inch_limits(
    name: str, major: tuple[float, float], pitch: tuple[float, float], hole_pitch: tuple[float, float],
    hole_minor: tuple[float, float],
) -> None:  # fmt: skip
    bolt, hole = bolt_limits(thread(name)), hole_limits(thread(name))
    for found, due, near in (
        (bolt.major, major, 1.1e-4),
        (bolt.pitch, pitch, 1.1e-4),
        (hole.pitch, hole_pitch, 1.1e-4),
        (hole.minor, hole_minor, 6e-4),  # the table rounds the hole's minor diameter to thousandths
    ):
        assert [each / INCH for each in found] == pytest.approx(due, abs=near)


def test_other_classes() -> None:
    m8 = thread("M8x1.25")
    # ISO 965-1 tables, from memory: Td2 of M8x1.25 grade 4 is 75 um, grade 8 is 190 um; TD2 grade 7 is 200 um.
    assert (bolt_limits(m8, "4h").pitch.most - bolt_limits(m8, "4h").pitch.least) * 1e6 == pytest.approx(75, abs=0.5)
    assert (bolt_limits(m8, "8g").pitch.most - bolt_limits(m8, "8g").pitch.least) * 1e6 == pytest.approx(190, abs=0.5)
    assert (hole_limits(m8, "7H").pitch.most - hole_limits(m8, "7H").pitch.least) * 1e6 == pytest.approx(200, abs=0.5)
    assert bolt_limits(m8, "6h").major.most == m8.diameter  # position h has no deviation: definition
    three = thread("3/8-16")
    wide, fine = bolt_limits(three, "1A").pitch, bolt_limits(three, "3A").pitch
    # ASME B1.1: class 3A has no allowance and 3/4 of the tolerance, 1A one and a half times.
    assert fine.most == pytest.approx(three.pitch_diameter)
    assert (wide.most - wide.least) / (fine.most - fine.least) == pytest.approx(2)
    for wrong in ("6H", "9x", ""):
        with pytest.raises(UnknownName):
            bolt_limits(m8, wrong or "2A")
    with pytest.raises(UnknownName, match="hole"):
        hole_limits(m8, "6g")
    with pytest.raises(UnknownName):
        hole_limits(three, "6H")


@pytest.mark.parametrize("name", ["M6x1", "M8x1.25", "M10x1.5", "M12x1.25", "M20x2.5"])
def test_metric_stress_area_is_the_standards_formula(name: str) -> None:
    mine = thread(name)
    # ISO 898-1: As = pi/4 ((d2 + d3)/2)^2, from the thread's own diameters.
    by_hand = math.pi / 4 * ((mine.pitch_diameter + mine.root_diameter) / 2) ** 2
    assert mine.stress_area == pytest.approx(by_hand, rel=1e-5)


def test_stress_areas_of_tables() -> None:
    assert thread("M8").stress_area * 1e6 == pytest.approx(36.6085, rel=0.002)  # thr-01
    assert thread("M10").stress_area * 1e6 == pytest.approx(58.0, rel=0.002)  # ISO 898-1 table, from memory
    assert thread("M12x1.25").stress_area * 1e6 == pytest.approx(92.1, rel=0.002)  # ISO 898-1 table, from memory
    assert thread("5/16-18").stress_area / INCH**2 == pytest.approx(0.0524, rel=0.003)  # thr-08
    assert thread("1/2-13").stress_area / INCH**2 == pytest.approx(0.1419, rel=0.003)  # ASME B1.1 table, from memory


def test_names() -> None:
    assert same(thread("M8"), thread("M8 x 1.25"))
    assert not same(thread("M8x1"), thread("M8x1.25"))
    assert thread("10-32").diameter == pytest.approx(0.190 * INCH)  # ASME B1.1: 0.060 + 0.013 x 10 in
    assert len(set(DESIGNATIONS)) == len(DESIGNATIONS)
    for name in DESIGNATIONS:
        mine = thread(name)
        assert run(mine, mine).sort == "match"
        assert bolt_limits(mine).pitch.most < hole_limits(mine).pitch.least
        assert bolt_limits(mine).major.most <= mine.diameter
    with pytest.raises(NotationFault):
        thread("eight millimetres")
    with pytest.raises(Fault, match="no thread"):
        thread("36-1")
    with pytest.raises(UnknownName, match="M9"):
        thread("M9")


@pytest.mark.parametrize(
    ("bolt", "hole", "least", "most"),
    [  # Trade rule 81, "computed here" on that page; its figures are rounded to a tenth, and some to a whole turn.
        ("M8x1.25", "5/16-18", 0.0, 1.4),
        ("5/16-18", "M8x1.25", 1.7, 2.6),
        ("3/8-16", "M10x1.5", 4.7, 6.7),
        ("M12x1.75", "1/2-13", 2.7, 3.6),
        ("M6x1", "1/4-20", 1.4, 1.9),
    ],
)
def test_look_alikes_run_so_many_turns(bolt: str, hole: str, least: float, most: float) -> None:
    found = run(thread(bolt), thread(hole))
    assert found.sort == "locks"
    assert found.turns == pytest.approx((least, most), abs=0.06)


def test_the_nearest_look_alike_and_the_one_that_does_not_start() -> None:
    near = run(thread("7/16-14"), thread("M12x1.75"))
    # Trade rule 81: 10 to 12 turns, overlap about 40 %. Computed here 9.7 to 12.5 turns and 20 to 51 %.
    assert near.turns == pytest.approx((10, 12), abs=0.6)
    assert near.overlap.least < 0.4 < near.overlap.most
    assert run(thread("M10x1.5"), thread("3/8-16")).sort == "no_start"  # trade rule 81
    assert run(thread("M10x1.5"), thread("3/8-16")).turns == (0.0, 0.0)


def test_turns_by_hand_derivation() -> None:
    """5/16-18 at its thinnest in the widest M8 hole, from tabled limits: 1 + (D2 - d2) tan 30 / difference of pitch."""
    thinnest, widest = 0.2712 * 25.4, 7.348  # ASME B1.1 and ISO 965-2 tables, from memory
    turns = 1 + (widest - thinnest) * math.tan(math.radians(30)) / (25.4 / 18 - 1.25)
    assert run(thread("5/16-18"), thread("M8x1.25")).turns.most == pytest.approx(turns, abs=0.02)


def test_same_pitch_and_too_small() -> None:
    loose, drops = run(thread("M6x1"), thread("M7x1")), run(thread("M6x1"), thread("M8x1.25"))
    assert loose.sort == "loose"
    assert math.isinf(loose.turns.least)  # no difference of pitch, nothing stops it: definition
    assert drops.sort == "drops"
    assert not drops.starts
    assert drops.overlap.most <= 0


# -- engagement -------------------------------------------------------------------------------------------------------


def test_engagement_of_equal_strength() -> None:
    found = fas.least_engagement(0.0774895319 * INCH**2, INCH / 16, 0.321 * INCH, 0.3287 * INCH)
    assert found / INCH == pytest.approx(0.269081, rel=0.003)  # thr-17: FED-STD-H28
    # Derived from the definition: at that length the sheared area is twice the stress area.
    sheared = fas.bolt_shear_area(found, INCH / 16, 0.321 * INCH, 0.3287 * INCH)
    assert sheared == pytest.approx(2 * 0.0774895319 * INCH**2, rel=1e-9)


def test_strip_area_over_one_diameter() -> None:
    found = fas.bolt_shear_area(0.375 * INCH, INCH / 16, 0.321 * INCH, 0.3287 * INCH)
    assert found / INCH**2 == pytest.approx(0.216, rel=0.006)  # thr-18: ASME B1.1 strip areas
    # The hole is cut at the larger diameter, so it always has more area: derived from the definition.
    assert fas.hole_shear_area(0.375 * INCH, INCH / 16, 0.3643 * INCH, 0.3401 * INCH) > found


def test_rule_of_thumb() -> None:
    assert fas.engagement_rule("aluminium", 8 * MM) / MM == pytest.approx(16.0, abs=0.01)  # thr-21: rule of thumb
    assert fas.engagement_rule("cast_iron", 8 * MM) / MM == pytest.approx(12.0, abs=0.01)  # thr-21, its source
    assert fas.engagement_rule("steel", 8 * MM) / MM == pytest.approx(8.0, abs=0.01)  # thr-21, its source
    with pytest.raises(UnknownName, match="cheese"):
        fas.engagement_rule("cheese", 8 * MM)


def test_grades() -> None:
    assert fas.grade_proof_stress("class_8_8", 8 * MM) == 580e6  # thr-04, note: ISO 898-1
    assert fas.grade_proof_stress("class_8_8", 20 * MM) == 600e6  # thr-04, note: ISO 898-1
    assert fas.grade_tensile_strength("class_10_9", 8 * MM) == 1040e6  # ISO 898-1, from memory
    ksi = 6.894757293168361e6
    assert fas.grade_proof_stress("grade_5", 0.375 * INCH) == pytest.approx(85 * ksi)  # SAE J429, from memory
    assert fas.grade_tensile_strength("grade_8", 0.5 * INCH) == pytest.approx(150 * ksi)  # SAE J429, from memory
    for name in fas.PROPERTY_CLASSES:
        code = "class_" + name.replace(".", "_")
        assert fas.grade_proof_stress(code, 8 * MM) == fas.proof_stress(name, 8 * MM)  # one table, two spellings
    for grade in fas.GRADES:
        assert fas.grade_proof_stress(grade, 8 * MM) < fas.grade_tensile_strength(grade, 8 * MM)
    with pytest.raises(UnknownName, match="grade_9"):
        fas.grade_proof_stress("grade_9", 8 * MM)
