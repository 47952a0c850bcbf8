"""Screw threads: ISO metric and unified inch, basic sizes and the limits of their usual tolerance classes.

Lengths in metres. Formulas: ISO 724 (basic sizes), ISO 965-1 (metric limits), ASME B1.1 (unified limits). Tolerances of
ISO 965-1 are rounded to the R40 series as the standard's tables are; those of ASME B1.1 are left unrounded.
Coefficients from memory, held against published limits in the tests.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from kb.designations import designation
from kb.errors import Fault, unknown
from kb.standards.fasteners import COARSE_PITCH, inch_stress_area, tensile_stress_area

METRIC: tuple[str, ...] = (
    "M3x0.5", "M4x0.7", "M5x0.8", "M6x1", "M7x1", "M8x1.25", "M8x1", "M9x1.25", "M10x1.5", "M10x1.25", "M10x1",
    "M11x1.5", "M12x1.75", "M12x1.5", "M12x1.25", "M14x2", "M14x1.5", "M14x1.25", "M16x2", "M16x1.5", "M18x2.5",
    "M18x1.5", "M20x2.5", "M20x1.5", "M22x2.5", "M22x1.5", "M24x3", "M24x2", "M24x1.5", "M26x1.5", "M27x3", "M27x2",
    "M30x3.5", "M30x2",
)  # fmt: skip
"""Sizes met on engines. Source: ISO 261 and ISO 262, from memory, not complete."""

UNIFIED: tuple[str, ...] = (
    "4-40", "5-40", "6-32", "8-32", "10-24", "10-32", "12-24", "1/4-20", "1/4-28", "5/16-18", "5/16-24", "3/8-16",
    "3/8-24", "7/16-14", "7/16-20", "1/2-13", "1/2-20", "9/16-12", "9/16-18", "5/8-11", "5/8-18", "3/4-10", "3/4-16",
    "13/16-16", "7/8-9", "7/8-14", "1-8", "1-12", "1-14", "1 1/16-12", "1 1/8-12",
)  # fmt: skip
"""Sizes met on engines: coarse and fine series, and a few others. Source: ASME B1.1, from memory, not complete."""

DESIGNATIONS: tuple[str, ...] = (*METRIC, *UNIFIED)

_INCH = 0.0254
_UM = 1e-6
_H = math.sqrt(3) / 2  # height of the sharp triangle over the pitch
_PITCH, _MINOR, _ROOT = 3 / 4 * _H, 5 / 4 * _H, 17 / 12 * _H  # d - d2, d - d1, d - d3 over the pitch
_NEAR = 1e-9


class Thread(NamedTuple):
    """A thread by name. system: 'metric' or 'inch'; diameter and pitch in m."""

    name: str
    system: str
    diameter: float
    pitch: float

    @property
    def pitch_diameter(self) -> float:
        """Basic d2 = d - 0.649519 P. Source: ISO 724, ASME B1.1."""
        return self.diameter - _PITCH * self.pitch

    @property
    def minor_diameter(self) -> float:
        """Basic d1 = d - 1.082532 P, which is the least minor diameter of the hole. Source: ISO 724, ASME B1.1."""
        return self.diameter - _MINOR * self.pitch

    @property
    def root_diameter(self) -> float:
        """Core of the bolt d3 = d - 1.226869 P. Source: ISO 898-1."""
        return self.diameter - _ROOT * self.pitch

    @property
    def stress_area(self) -> float:
        """Tensile stress area, m2. Source: ISO 898-1, ASME B1.1."""
        area = tensile_stress_area if self.system == "metric" else inch_stress_area
        return float(area(self.diameter, self.pitch))


class Band(NamedTuple):
    """Least and greatest, m."""

    least: float
    most: float


class Limits(NamedTuple):
    """What a thread's tolerance class allows. minor: of a bolt, its core (to the root of the basic form)."""

    major: Band
    pitch: Band
    minor: Band


@lru_cache(maxsize=512)
def thread(name: str) -> Thread:
    """The thread called M8x1.25, M8 (coarse), 5/16-18 or 10-32. NotationFault or UnknownName otherwise."""
    found = designation(name)
    if found.sort == "inch_thread":
        diameter, per_inch = found.numbers
        return Thread(name.strip(), "inch", diameter, _INCH / per_inch)
    if found.sort != "metric_thread":
        raise Fault(f"{name!r} is no thread", step="write a thread as M8x1.25 or 5/16-18")
    if len(found.numbers) > 1:
        return Thread(name.strip(), "metric", *found.numbers)
    size = f"M{found.numbers[0] * 1000:g}"
    if size not in COARSE_PITCH:
        raise unknown("coarse metric thread", size, COARSE_PITCH)
    return Thread(name.strip(), "metric", found.numbers[0], COARSE_PITCH[size])


# -- ISO 965-1 ---------------------------------------------------------------------------------------------------------

_R40 = (
    100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280, 300, 315, 335, 355,
    375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950, 1000,
)  # fmt: skip
_R40_COARSE = (
    100, 105, 110, 120, 125, 130, 140, 150, 160, 170, 180, 190, 200, 210, 220, 240, 250, 260, 280, 300, 320, 340, 360,
    380, 400, 420, 450, 480, 500, 530, 560, 600, 630, 670, 710, 750, 800, 850, 900, 950, 1000,
)  # fmt: skip
_RANGES_MM = (0.99, 1.4, 2.8, 5.6, 11.2, 22.4, 45.0, 90.0, 180.0, 355.0)
# Steps in the R40 series from the pitch diameter's tolerance of grade 6 of a bolt; by ratio 0.5 to 2, 0.85 to 2.12.
_GRADES = {3: -12, 4: -8, 5: -4, 6: 0, 7: 4, 8: 8, 9: 12}
_HOLE_GRADES = {4: -3, 5: 1, 6: 5, 7: 9, 8: 13}
_CREST = {3: 0.63, 4: 0.63, 5: 1.0, 6: 1.0, 7: 1.0, 8: 1.6, 9: 1.6}  # a bolt's crest has grades 4, 6 and 8 only
_HOLE_CREST = {4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6}
_POSITIONS = {
    "e": (50.0, 11.0),
    "f": (30.0, 11.0),
    "g": (15.0, 11.0),
    "G": (15.0, 11.0),
    "h": (0.0, 0.0),
    "H": (0.0, 0.0),
}
# Where the standard's tables leave the formulas: hole's minor diameter by pitch, pitch diameter by range and pitch.
_HOLE_MINOR_6_UM = {0.5: 140.0, 2.5: 450.0}
_PITCH_6_UM = {(2.8, 0.5): 75.0}
_DEVIATION_UM = {("g", 0.5): 20.0, ("G", 0.5): 20.0}


def _rounded(figure: float, series: Sequence[int]) -> float:
    """The preferred number nearest to `figure`, by ratio."""
    scale = 10.0 ** math.floor(math.log10(figure) - 2)
    return min(series, key=lambda each: abs(math.log(figure / (each * scale)))) * scale


def _grade(tolerance: str, hole: bool) -> int:
    """The grade of "6g" or "6H"; UnknownName for a class of the other side, or of neither."""
    grade, letter = tolerance[:1], tolerance[1:]
    table = _HOLE_GRADES if hole else _GRADES
    if letter not in _POSITIONS or letter.isupper() != hole or not grade.isdigit() or int(grade) not in table:
        known = ("6H", "6G", "5H", "7H") if hole else ("6g", "6e", "6h", "8g", "4h")
        raise unknown(f"tolerance class of a {'hole' if hole else 'bolt'}", tolerance, known)
    return int(grade)


def _deviation(letter: str, pitch_mm: float) -> float:
    special = _DEVIATION_UM.get((letter, round(pitch_mm, 6)))
    if special is not None:
        return special * _UM
    fixed, slope = _POSITIONS[letter]
    return _rounded(fixed + slope * pitch_mm, _R40_COARSE) * _UM if fixed else 0.0


def _pitch_tolerance(mine: Thread, steps: int) -> float:
    """Td2 of grade 6 is 90 P^0.4 d^0.1 um, d the geometric mean of its range of diameters, P and d in mm."""
    size, pitch = mine.diameter * 1000, round(mine.pitch * 1000, 6)
    for low, high in pairwise(_RANGES_MM):
        if low < size <= high + _NEAR:
            formula = _rounded(90 * pitch**0.4 * math.sqrt(low * high) ** 0.1, _R40)
            figure = _PITCH_6_UM.get((low, pitch), formula)
            return _rounded(figure * 10 ** (steps / 40), _R40) * _UM
    raise Fault(f"{mine.name} lies outside the diameters of ISO 965-1", step="use a thread of 1 to 355 mm")


def _metric_bolt(mine: Thread, tolerance: str) -> Limits:
    grade = _grade(tolerance, hole=False)
    pitch = mine.pitch * 1000
    less = _deviation(tolerance[1:], pitch)
    height = _rounded(_CREST[grade] * (180 * pitch ** (2 / 3) - 3.15 / math.sqrt(pitch)), _R40) * _UM
    major, middle, root = mine.diameter - less, mine.pitch_diameter - less, mine.root_diameter - less
    spread = _pitch_tolerance(mine, _GRADES[grade])
    return Limits(Band(major - height, major), Band(middle - spread, middle), Band(root - spread, root))


def _metric_hole(mine: Thread, tolerance: str) -> Limits:
    grade = _grade(tolerance, hole=True)
    pitch = round(mine.pitch * 1000, 6)
    more = _deviation(tolerance[1:], pitch)
    height = _rounded(_HOLE_CREST[grade] * (433 * pitch - 190 * pitch**1.22 if pitch < 0.9 else 230 * pitch**0.7), _R40)
    if grade == 6:
        height = _HOLE_MINOR_6_UM.get(pitch, height)
    spread = _pitch_tolerance(mine, _HOLE_GRADES[grade])
    major, middle, minor = mine.diameter + more, mine.pitch_diameter + more, mine.minor_diameter + more
    return Limits(Band(major, math.inf), Band(middle, middle + spread), Band(minor, minor + height * _UM))


# -- ASME B1.1 ---------------------------------------------------------------------------------------------------------

_BOLT_CLASSES = {"1A": (1.5, 0.3, 0.090), "2A": (1.0, 0.3, 0.060), "3A": (0.75, 0.0, 0.060)}
_HOLE_CLASSES = {"1B": 1.95, "2B": 1.3, "3B": 0.975}


def _unified_pitch_tolerance(mine: Thread) -> float:
    """Of class 2A, in inches: 0.0015 D^(1/3) + 0.0015 Le^(1/2) + 0.015 P^(2/3), engaged over one diameter."""
    size, pitch = mine.diameter / _INCH, mine.pitch / _INCH
    return float(0.0015 * size ** (1 / 3) + 0.0015 * math.sqrt(size) + 0.015 * pitch ** (2 / 3))


def _unified_bolt(mine: Thread, tolerance: str) -> Limits:
    if tolerance not in _BOLT_CLASSES:
        raise unknown("unified tolerance class of a bolt", tolerance, _BOLT_CLASSES)
    factor, allowance, crest = _BOLT_CLASSES[tolerance]
    spread = _unified_pitch_tolerance(mine) * _INCH
    less = allowance * spread
    height = crest * (mine.pitch / _INCH) ** (2 / 3) * _INCH
    major, middle, root = mine.diameter - less, mine.pitch_diameter - less, mine.root_diameter - less
    return Limits(
        Band(major - height, major), Band(middle - factor * spread, middle), Band(root - factor * spread, root)
    )


def _unified_hole(mine: Thread, tolerance: str) -> Limits:
    if tolerance not in _HOLE_CLASSES:
        raise unknown("unified tolerance class of a hole", tolerance, _HOLE_CLASSES)
    size, pitch = mine.diameter / _INCH, mine.pitch / _INCH
    height = 0.25 * pitch - 0.40 * pitch**2
    if size < 0.25 - _NEAR:
        height = min(max(0.05 * pitch ** (2 / 3) + 0.03 * pitch / size - 0.002, height), 0.394 * pitch)
    spread = _HOLE_CLASSES[tolerance] * _unified_pitch_tolerance(mine) * _INCH
    middle, minor = mine.pitch_diameter, mine.minor_diameter
    return Limits(Band(mine.diameter, math.inf), Band(middle, middle + spread), Band(minor, minor + height * _INCH))


# -- either system -----------------------------------------------------------------------------------------------------


@lru_cache(maxsize=512)
def bolt_limits(mine: Thread, tolerance: str = "") -> Limits:
    """Limits of the external thread, m: class 6g (ISO 965-1) or 2A (ASME B1.1) unless `tolerance` names another."""
    return (_metric_bolt if mine.system == "metric" else _unified_bolt)(
        mine, tolerance or ("6g" if mine.system == "metric" else "2A")
    )


@lru_cache(maxsize=512)
def hole_limits(mine: Thread, tolerance: str = "") -> Limits:
    """Limits of the internal thread, m: class 6H (ISO 965-1) or 2B (ASME B1.1) unless `tolerance` names another."""
    return (_metric_hole if mine.system == "metric" else _unified_hole)(
        mine, tolerance or ("6H" if mine.system == "metric" else "2B")
    )


class Run(NamedTuple):
    """How a bolt goes into a hole.

    sort: 'match', 'locks' (starts, runs some turns, jams), 'loose' (same pitch, too small: runs in with little to
    hold), 'drops' (nothing to hold at all), 'no_start'. turns: first thread included; infinite where nothing stops it.
    overlap: height of the flanks in touch over the full height of the hole's thread.
    """

    sort: str
    turns: Band
    overlap: Band

    @property
    def starts(self) -> bool:
        """Whether some bolt of the class starts in some hole of the class and has anything to hold."""
        return self.sort in ("match", "locks", "loose")


def same(one: Thread, other: Thread) -> bool:
    """Equal diameter and pitch, however they are written."""
    return abs(one.diameter - other.diameter) < _NEAR and abs(one.pitch - other.pitch) < _NEAR


@lru_cache(maxsize=4096)
def run(bolt: Thread, hole: Thread) -> Run:
    """How many turns the bolt runs in the hole before the difference of pitch has used up the play of the flanks.

    turns = 1 + (D2 - d2) tan 30 / |P_hole - P_bolt|: the first thread meets no difference, each further one the
    difference once more, and the play along the axis is that of the pitch diameters times tan 30. Least and most over
    the tolerance classes. A bolt that is too thick at flanks, crest or root does not start: 0 turns. From geometry.
    """
    outer, inner = bolt_limits(bolt), hole_limits(hole)
    play = Band(inner.pitch.least - outer.pitch.most, inner.pitch.most - outer.pitch.least)
    height = 2 * 5 / 8 * _H * hole.pitch
    overlap = Band(
        (outer.major.least - inner.minor.most) / height, min(1.0, (outer.major.most - inner.minor.least) / height)
    )
    if same(bolt, hole):
        return Run("match", Band(math.inf, math.inf), overlap)
    drift = abs(hole.pitch - bolt.pitch)
    # Room at crest and root too: of the thickest bolt in the tightest hole, and of the thinnest in the widest.
    tight = min(play.least, hole.diameter - outer.major.most, inner.minor.least - outer.minor.most)
    wide = min(play.most, hole.diameter + _H / 4 * hole.pitch - outer.major.least, inner.minor.most - outer.minor.least)
    turns = Band(_turns(play.least, drift, tight), _turns(play.most, drift, wide))
    if turns.most <= 0:
        return Run("no_start", Band(0.0, 0.0), overlap)
    if overlap.most <= 0:
        return Run("drops", Band(math.inf, math.inf), overlap)
    return Run("locks" if drift > _NEAR else "loose", turns, overlap)


def _turns(play: float, drift: float, room: float) -> float:
    if room < 0:
        return 0.0
    return math.inf if drift < _NEAR else 1 + play * math.tan(math.pi / 6) / drift
