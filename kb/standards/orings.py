"""O-rings: sizes of AS568 and ISO 3601-1, and what a gland does to a ring.

Lengths in metres, squeeze, stretch and fill as fractions. Functions take floats, numpy arrays or Pint
quantities. Words: `cord` is the diameter of the ring's section, `gland depth` the space left for it.
"""

from __future__ import annotations

import math
import re
from typing import Any, NamedTuple

from kb.errors import unknown
from kb.maths import constant, least, most, where

_THOU = 25.4e-6


class Ring(NamedTuple):
    """A standard ring: dash number, inside diameter, cord and cord tolerance (either way), m."""

    dash: str
    inner_diameter: float
    cord: float
    cord_tolerance: float


class Series(NamedTuple):
    """An AS568 series: cord and cord tolerance (either way), m."""

    cord: float
    cord_tolerance: float


AS568_SERIES: dict[str, Series] = {
    "0xx": Series(70 * _THOU, 3 * _THOU),
    "1xx": Series(103 * _THOU, 3 * _THOU),
    "2xx": Series(139 * _THOU, 4 * _THOU),
    "3xx": Series(210 * _THOU, 5 * _THOU),
    "4xx": Series(275 * _THOU, 6 * _THOU),
}
"""Cords of the numbered series. Source: AS568. Some trade lists shift the names by one: those are wrong."""

# Inside diameters in thousandths of an inch, from the first dash number on. AS568, from memory; the tolerance of
# the inside diameter is left out because it is not remembered with certainty.
_BORES: dict[int, tuple[int, ...]] = {
    4: (
        *(70, 101, 114, 145, 176, 208, 239, 301, 364, 426, 489, 551, 614, 676, 739, 801, 864, 926, 989),
        *(1051, 1114, 1176, 1239, 1301, 1364),
        *range(1489, 2990, 125),
        *range(3239, 5240, 250),
    ),
    102: (
        *(49, 81, 112, 143, 174, 206, 237, 299, 362, 424, 487, 549, 612, 674, 737, 799, 862, 924, 987),
        *(1049, 1112, 1174, 1237, 1299, 1362, 1424, 1487, 1549, 1612, 1674, 1737, 1799, 1862),
        *(1925, 1987, 2050, 2112, 2175, 2237, 2300, 2362, 2425, 2487, 2550, 2612, 2675, 2737, 2800, 2862, 2987),
        *range(3237, 9738, 250),
    ),
    201: (
        *(171, 234, 296, 359, 421, 484, 546, 609, 671, 734, 796, 859, 921, 984),
        *(1046, 1109, 1171, 1234, 1296, 1359, 1421, 1484),
        *range(1609, 5985, 125),
        *range(6234, 9985, 250),
        *(10484, 10984, 11484, 11984, 12984, 13984, 14984, 15955, 16955, 17955),
    ),
    309: (
        *(412, 475, 537, 600, 662, 725, 787, 850, 912, 975, 1037, 1100, 1162, 1225, 1287, 1350),
        *range(1475, 5976, 125),
        *range(6225, 9976, 250),
        *(10475, 10975, 11475, 11975, 12975, 13975, 14975),
        *(15955, 16955, 17955, 18955, 19955, 20955, 21955, 22940, 23940, 24940, 25940),
    ),
    425: (
        *range(4475, 5976, 125),
        *range(6225, 7976, 250),
        *range(8475, 15476, 500),
    ),
}

# Rings of straight-thread tube fittings: inside diameter and cord in thousandths of an inch. AS568, from memory. Their
# cord tolerance follows the series of the like cord.
_FITTING_RINGS: dict[int, tuple[int, int, int]] = {
    901: (185, 56, 3),
    902: (239, 64, 3),
    903: (301, 64, 3),
    904: (351, 72, 3),
    905: (414, 72, 3),
    906: (468, 78, 3),
    907: (530, 82, 3),
    908: (644, 87, 3),
    909: (706, 97, 3),
    910: (755, 97, 3),
    911: (863, 116, 4),
    912: (924, 116, 4),
    913: (986, 116, 4),
    914: (1047, 116, 4),
    916: (1171, 116, 4),
    918: (1355, 116, 4),
    920: (1475, 118, 4),
    924: (1720, 118, 4),
    928: (2090, 118, 4),
    932: (2337, 118, 4),
}

ISO_3601_CORDS: dict[float, float] = {
    1.78e-3: 0.08e-3,
    2.62e-3: 0.08e-3,
    3.53e-3: 0.10e-3,
    5.33e-3: 0.13e-3,
    6.99e-3: 0.15e-3,
}
"""Cords of ISO 3601-1 and their tolerance either way, m. Cords as published; tolerances from memory."""


def as568(dash: str | int) -> Ring:
    """The AS568 ring of a dash number: 214, "214", "-214", "-014", "AS568-214".

    Source: AS568, inside diameters from memory. Raises UnknownName for a number outside the table.
    """
    found = re.fullmatch(r"(?:AS ?568[A-Z]? ?)?-?([0-9]{1,3})", str(dash).strip().upper())
    number = int(found[1]) if found else -1
    name = f"-{number:03d}"
    if number in _FITTING_RINGS:
        bore, cord, tolerance = _FITTING_RINGS[number]
        return Ring(name, bore * _THOU, cord * _THOU, tolerance * _THOU)
    for first, bores in _BORES.items():
        if first <= number < first + len(bores):
            series = AS568_SERIES[f"{first // 100}xx"]
            return Ring(name, bores[number - first] * _THOU, series.cord, series.cord_tolerance)
    raise unknown("AS568 ring size", str(dash), as568_numbers())


def as568_numbers() -> tuple[str, ...]:
    """Every dash number that `as568` knows, such as "-214", in order."""
    plain = (number for first, bores in _BORES.items() for number in range(first, first + len(bores)))
    return tuple(f"-{number:03d}" for number in (*plain, *_FITTING_RINGS))


def iso_3601_cord_tolerance(cord: Any) -> Any:
    """Tolerance of the `cord`, m either way, of a ring outside the listed cords.

    Steps of 0.08 mm up to 2.25 mm, 0.09 to 3.15, 0.10 to 4.50, 0.13 to 6.30, 0.15 above. Valid for 0.8 to 8.4 mm.
    Source: ISO 3601-1 class B, from memory.
    """
    tolerance = constant(0.08e-3, "m", cord)
    for above, step in ((2.25e-3, 0.09e-3), (3.15e-3, 0.10e-3), (4.50e-3, 0.13e-3), (6.30e-3, 0.15e-3)):
        tolerance = where(cord > constant(above + 1e-9, "m", cord), constant(step, "m", cord), tolerance)
    return tolerance


def iso_3601_bore_tolerance(inner_diameter: Any) -> Any:
    """Tolerance of the inside diameter, m either way: 0.009 d^0.95 + 0.11 with d in millimetres.

    Source: ISO 3601-1 class B, from memory.
    """
    millimetre = constant(1e-3, "m", inner_diameter)
    return (0.009 * (inner_diameter / millimetre) ** 0.95 + 0.11) * millimetre


def squeeze(cord: Any, gland_depth: Any) -> Any:
    """Share of the free cord that the gland presses out: (W - depth) / W; negative is a gap. Lengths in m.

    Follows from the definition. Stretch thins the cord first: see `thinned_cord`.
    """
    return (cord - gland_depth) / cord


class Extremes(NamedTuple):
    """The least and the most that tolerances allow."""

    least: Any
    most: Any


def squeeze_extremes(cord: Any, cord_tolerance: Any, depth_least: Any, depth_most: Any) -> Extremes:
    """Squeeze at worst case: thin cord in the deepest gland, thick cord in the shallowest.

    Each is referred to its own cord. `cord_tolerance` is either way; all in m. Source: O-ring design guides.
    """
    return Extremes(
        squeeze(cord - cord_tolerance, depth_most),
        squeeze(cord + cord_tolerance, depth_least),
    )


def gland_depth(cord: Any, squeeze_wanted: Any) -> Any:
    """Gland depth, m, that squeezes `cord`, m, by the fraction `squeeze_wanted`: W (1 - s)."""
    return cord * (1 - squeeze_wanted)


def stretch(inner_diameter: Any, groove_diameter: Any) -> Any:
    """Stretch of a ring of `inner_diameter` on a groove of `groove_diameter`: (groove - ID) / ID. Lengths in m."""
    return (groove_diameter - inner_diameter) / inner_diameter


def thinning_constant_volume(stretch_fraction: Any) -> Any:
    """Share of the cord lost by stretch when the rubber keeps its volume: 1 - 1 / sqrt(1 + s).

    Follows from the definition, for a section that stays round. Gives about 0.6 of the empirical figure at
    3 %: never mix the two conventions.
    """
    return 1 - (1 + stretch_fraction) ** -0.5


def thinning_empirical(stretch_fraction: Any) -> Any:
    """Share of the cord lost by stretch, measured on rings: the polynomial of seal standards.

    With X the stretch and R the loss in percent:
    R = -0.005 + 1.19 X - 0.19 X^2 - 0.001 X^3 + 0.008 X^4 up to 3 %, R = 0.56 + 0.59 X - 0.0046 X^2 above. The
    published branches do not meet: R falls by 0.19 at 3 %. Never below zero. Valid for 0 to 25 %.
    Source: SAE AS4716 and seal handbooks, both branches from memory.
    """
    x = stretch_fraction * 100
    small = -0.005 + 1.19 * x - 0.19 * x**2 - 0.001 * x**3 + 0.008 * x**4
    large = 0.56 + 0.59 * x - 0.0046 * x**2
    return most(where(x <= 3 + 1e-9, small, large), 0.0) / 100


def thinned_cord(cord: Any, thinning: Any) -> Any:
    """Cord, m, left after a `thinning` fraction from one of the two conventions."""
    return cord * (1 - thinning)


def fill(cord: Any, depth: Any, width: Any, inner_diameter: Any = None, groove_diameter: Any = None) -> Any:
    """Share of the gland that the rubber fills.

    Without diameters the sections are compared: pi W^2 / 4 / (depth width). With the ring's `inner_diameter` the
    volumes are: pi^2 W^2 (ID + W) / 4 over pi depth width (groove + depth), where `groove_diameter` is the
    inner wall of the gland and defaults to the ring's inside diameter. All in m. Follows from the definition.
    """
    sections = math.pi * cord**2 / 4 / (depth * width)
    if inner_diameter is None:
        return sections
    inner_wall = inner_diameter if groove_diameter is None else groove_diameter
    return sections * (inner_diameter + cord) / (inner_wall + depth)


def cord_length(inner_diameter: Any, cord: Any) -> Any:
    """Length of cord, m, in a ring, along its mean circle: pi (ID + W)."""
    return math.pi * (inner_diameter + cord)


class Band(NamedTuple):
    """A usual range with the name of its source in kb/sources.py; `None` is open on that side."""

    low: float | None
    high: float | None
    source: str


RADIAL_SQUEEZE = Band(0.15, 0.22, "oring-guide")
"""Static radial gland."""
FACE_SQUEEZE = Band(0.20, 0.28, "oring-guide")
"""Static face gland."""
FACE_SQUEEZE_WIDE = Band(0.10, 0.35, "oring-lecture")
"""Static face gland, least and most; 0.25 is typical. Also the outer bounds of any static gland."""
FACE_SQUEEZE_TYPICAL = 0.25
FILL = Band(None, 0.85, "oring-guide")
STRETCH = Band(0.0, 0.05, "oring-guide")

RADIAL_SQUEEZE_AVERAGE = 0.205
_RADIAL_THIN, _RADIAL_THICK = (1.78e-3, 0.27), (7.0e-3, 0.18)


def typical_radial_squeeze(cord: Any) -> Any:
    """Usual squeeze in a static radial gland by `cord`, m: 27 % at 1.78 mm falling to 18 % at 7 mm.

    The ends were read in the abstract of a sealing handbook; the straight line between them is common practice,
    no published source reached. Held at the end values outside.
    """
    (thin, high), (thick, low) = _RADIAL_THIN, _RADIAL_THICK
    share = (cord - constant(thin, "m", cord)) / constant(thick - thin, "m", cord)
    return high + (low - high) * least(most(share, 0.0), 1.0)
