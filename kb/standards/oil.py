"""Engine and industrial oils: grades, viscosity by temperature, viscosity index, density.

SI inside: kinematic viscosity in m2/s, dynamic in Pa s, temperature in kelvin. The published tables speak of
mm2/s, mPa s and degrees Celsius; they are converted once, here.
"""

from __future__ import annotations

import math
import re
from typing import Any, NamedTuple

from kb.errors import unknown
from kb.maths import constant, exp, log, where

CELSIUS_ZERO = 273.15
T40 = CELSIUS_ZERO + 40
T100 = CELSIUS_ZERO + 100
_SLACK = 1e-9


class WinterGrade(NamedTuple):
    """A W grade of SAE J300: most viscosity when cranking (Pa s, at K), when pumping, least at 100 C (m2/s)."""

    name: str
    cranking_most: float
    cranking_temperature: float
    pumping_most: float
    pumping_temperature: float
    kv100_low: float


class SummerGrade(NamedTuple):
    """A grade without W: window at 100 C (low included, high not), m2/s, and least high-shear viscosity, Pa s."""

    name: str
    kv100_low: float
    kv100_high: float
    high_shear_low: float


class OilGrade(NamedTuple):
    """One or both halves of a grade such as 5W-30, with the window at 100 C that they leave together.

    `kv100_high` (not included) and `high_shear_low` are None for a W grade alone.
    """

    name: str
    winter: WinterGrade | None
    summer: SummerGrade | None
    kv100_low: float
    kv100_high: float | None
    high_shear_low: float | None


def _winter(name: str, cranking: float, at: float, kv100: float) -> WinterGrade:
    pumping_at = CELSIUS_ZERO + at - 5
    return WinterGrade(name, cranking / 1e3, CELSIUS_ZERO + at, 60.0, pumping_at, kv100 / 1e6)


def _summer(name: str, low: float, high: float, high_shear: float) -> SummerGrade:
    return SummerGrade(name, low / 1e6, high / 1e6, high_shear / 1e3)


# Rows 5W (cranking) and 30 (window) were checked against a published table, the rest is from memory.
WINTER_GRADES: dict[str, WinterGrade] = {
    grade.name: grade
    for grade in (
        _winter("0W", 6200, -35, 3.8),
        _winter("5W", 6600, -30, 3.8),
        _winter("10W", 7000, -25, 4.1),
        _winter("15W", 7000, -20, 5.6),
        _winter("20W", 9500, -15, 5.6),
        _winter("25W", 13000, -10, 9.3),
    )
}
"""W grades of SAE J300 (2015): cranking by ASTM D5293, pumping by ASTM D4684 at 5 K lower, without yield stress."""

SUMMER_GRADES: dict[str, SummerGrade] = {
    grade.name: grade
    for grade in (
        _summer("8", 4.0, 6.1, 1.7),
        _summer("12", 5.0, 7.1, 2.0),
        _summer("16", 6.1, 8.2, 2.3),
        _summer("20", 6.9, 9.3, 2.6),
        _summer("30", 9.3, 12.5, 2.9),
        _summer("40", 12.5, 16.3, 3.7),
        _summer("50", 16.3, 21.9, 3.7),
        _summer("60", 21.9, 26.1, 3.7),
    )
}
"""Grades without W of SAE J300 (2015), high shear at 150 C; see `grade` for the exception of 40."""

_LIGHT_40_HIGH_SHEAR = 3.5e-3
_LIGHT_40_WINTERS = ("0W", "5W", "10W")


def grade(name: str) -> OilGrade:
    """The SAE grade named "30", "10W", "5W-30", "10W40", "SAE 30".

    A multigrade must meet both halves. 0W-40, 5W-40 and 10W-40 need only 3.5 mPa s at high shear, other
    40 grades 3.7. Source: SAE J300 (2015 edition). Raises UnknownName for any other text.
    """
    text = name.strip().upper().removeprefix("SAE").strip()
    found = re.fullmatch(r"(?:([0-9]+W)(?:[-/ ]{0,3}([0-9]+))?|([0-9]+))", text)
    cold, hot = (found[1], found[2] or found[3]) if found else (None, None)
    if not found or (cold and cold not in WINTER_GRADES) or (hot and hot not in SUMMER_GRADES):
        raise unknown("SAE oil grade", name, (*WINTER_GRADES, *SUMMER_GRADES, "5W-30", "10W-40", "15W-40", "20W-50"))
    winter = WINTER_GRADES[cold] if cold else None
    summer = SUMMER_GRADES[hot] if hot else None
    if summer and winter and hot == "40" and cold in _LIGHT_40_WINTERS:
        summer = summer._replace(high_shear_low=_LIGHT_40_HIGH_SHEAR)
    return OilGrade(
        "-".join(part for part in (cold, hot) if part),
        winter,
        summer,
        max(half.kv100_low for half in (winter, summer) if half),
        summer.kv100_high if summer else None,
        summer.high_shear_low if summer else None,
    )


def in_grade(oil: OilGrade, kv100: Any) -> Any:
    """Whether a viscosity at 100 C, m2/s, lies in the window of `oil`: low included, high not."""
    reached = kv100 >= constant(oil.kv100_low * (1 - _SLACK), "m**2/s", kv100)
    if oil.kv100_high is None:
        return reached
    return reached & (kv100 < constant(oil.kv100_high * (1 - _SLACK), "m**2/s", kv100))


_VG_MIDPOINTS: dict[str, float] = {
    "2": 2.2,
    "3": 3.2,
    "5": 4.6,
    "7": 6.8,
    **{str(n): float(n) for n in (10, 15, 22, 32, 46, 68, 100, 150, 220, 320, 460, 680, 1000, 1500, 2200, 3200)},
}
VG_CLASSES = tuple(_VG_MIDPOINTS)


def vg_window(vg_class: str | int) -> tuple[float, float]:
    """Window at 40 C, m2/s, both ends included, of an ISO viscosity class: midpoint give or take 10 %.

    Accepts 46, "46", "VG 46", "ISO VG 46". Source: ISO 3448; the midpoints of classes 2 to 7 are from memory.
    Raises UnknownName for a class that the standard does not list.
    """
    text = re.sub(r"^(ISO)?\s*(VG)?\s*", "", str(vg_class).strip().upper())
    if text not in _VG_MIDPOINTS:
        raise unknown("ISO viscosity class", str(vg_class), VG_CLASSES)
    middle = _VG_MIDPOINTS[text]
    return middle * 0.9 / 1e6, middle * 1.1 / 1e6


def _walther(viscosity: Any) -> Any:
    return log(log(viscosity / constant(1e-6, "m**2/s", viscosity) + 0.7))


def viscosity_at(temperature: Any, v1: Any, t1: Any, v2: Any, t2: Any) -> Any:
    """Kinematic viscosity, m2/s, at `temperature`, K, of an oil known at two points (`v1` at `t1`, `v2` at `t2`).

    log log (v + 0.7) = A - B log T with v in mm2/s and T in K; the base cancels between the points. The short
    form, for 2 mm2/s and thicker; below its pour point an oil is thicker than the line says. Two oils at one
    temperature each, or equal temperatures, make no line. Source: ASTM D341.
    """
    start, end = _walther(v1), _walther(v2)
    share = log(temperature / t1) / log(t2 / t1)
    return (exp(exp(start + (end - start) * share)) - 0.7) * constant(1e-6, "m**2/s", v1)


def temperature_at(viscosity: Any, v1: Any, t1: Any, v2: Any, t2: Any) -> Any:
    """Temperature, K, at which the oil of `viscosity_at` has `viscosity`, m2/s. Source: ASTM D341."""
    start, end = _walther(v1), _walther(v2)
    share = (_walther(viscosity) - start) / (end - start)
    return t1 * (t2 / t1) ** share


# Least viscosity at 100 C of the row, then L = a Y^2 + b Y + c and H = d Y^2 + e Y + f. ASTM D2270, appendix; the
# coefficients agree in two independent programs and with the tabulated L and H within rounding.
_INDEX_ROWS: tuple[tuple[float, float, float, float, float, float, float], ...] = (
    (2.0, 1.14673, 1.7576, -0.109, 0.84155, 1.5521, -0.077),
    (3.8, 3.38095, -15.4952, 33.196, 0.78571, 1.7929, -0.183),
    (4.4, 2.5, -7.2143, 13.812, 0.82143, 1.5679, 0.119),
    (5.0, 0.101, 16.635, -45.469, 0.04985, 9.1613, -18.557),
    (6.4, 3.35714, -23.5643, 78.466, 0.22619, 7.7369, -16.656),
    (7.0, 0.01191, 21.475, -72.87, 0.79762, -0.7321, 14.61),
    (7.7, 0.41858, 16.1558, -56.04, 0.05794, 10.5156, -28.24),
    (9.0, 0.88779, 7.5527, -16.6, 0.26665, 6.7015, -10.81),
    (12.0, 0.7672, 10.7972, -38.18, 0.20073, 8.4658, -22.49),
    (15.0, 0.97305, 5.3135, -2.2, 0.28889, 5.9741, -4.93),
    (18.0, 0.97256, 5.25, -0.98, 0.24504, 7.416, -16.73),
    (22.0, 0.91413, 7.4759, -21.82, 0.20323, 9.1267, -34.23),
    (28.0, 0.87031, 9.7157, -50.77, 0.18411, 10.1015, -46.75),
    (40.0, 0.84703, 12.6752, -133.31, 0.17029, 11.4866, -80.62),
    (55.0, 0.85921, 11.1009, -83.19, 0.1713, 11.368, -76.94),
    (70.0, 0.83531, 14.6731, -216.246, 0.16841, 11.8493, -96.947),
)


class References(NamedTuple):
    """Viscosity at 40 C, mm2/s, of the reference oils of index 0 (`low`, L) and 100 (`high`, H)."""

    low: Any
    high: Any


def index_references(kv100: Any) -> References:
    """L and H, mm2/s, of the reference oils with the same viscosity at 100 C, given in m2/s.

    Valid from 2 mm2/s at 100 C. Source: ASTM D2270, quadratic fits of its appendix.
    """
    y = kv100 / constant(1e-6, "m**2/s", kv100)
    (_, a, b, c, d, e, f), *rows = _INDEX_ROWS
    low, high = a * y**2 + b * y + c, d * y**2 + e * y + f
    for start, a, b, c, d, e, f in rows:
        low = where(y >= start, a * y**2 + b * y + c, low)
        high = where(y >= start, d * y**2 + e * y + f, high)
    return References(low, high)


def viscosity_index(kv40: Any, kv100: Any) -> Any:
    """Viscosity index from the viscosities at 40 and 100 C, m2/s; not rounded to a whole number.

    Procedure A up to 100: 100 (L - U) / (L - H). Procedure B above: (10^N - 1) / 0.00715 + 100 with
    N = log(H / U) / log(Y). Valid from 2 mm2/s at 100 C. Source: ASTM D2270.
    """
    u = kv40 / constant(1e-6, "m**2/s", kv40)
    y = kv100 / constant(1e-6, "m**2/s", kv100)
    low, high = index_references(kv100)
    below = 100 * (low - u) / (low - high)
    above = (exp(math.log(10) * log(high / u) / log(y)) - 1) / 0.00715 + 100
    return where(u >= high, below, above)


def kv40_from_index(kv100: Any, index: Any) -> Any:
    """Viscosity at 40 C, m2/s, of an oil with `kv100`, m2/s, and viscosity `index`: `viscosity_index` turned round.

    Source: ASTM D2270.
    """
    y = kv100 / constant(1e-6, "m**2/s", kv100)
    low, high = index_references(kv100)
    below = low - index / 100 * (low - high)
    # Held at 100 so that the branch not taken stays defined for low indices.
    power = log(1 + 0.00715 * (where(index > 100, index, 100.0) - 100)) / math.log(10)
    above = high * exp(-power * log(y))
    return where(index <= 100, below, above) * constant(1e-6, "m**2/s", kv100)


def dynamic_viscosity(kinematic: Any, density: Any) -> Any:
    """Dynamic viscosity, Pa s: kinematic, m2/s, times density, kg/m3. Follows from the definition."""
    return kinematic * density


EXPANSION = 7.0e-4
"""Volume expansion of mineral engine oil, 1/K. Common practice, no published source (6.4e-4 to 7.5e-4)."""

T15 = CELSIUS_ZERO + 15


def density_at(temperature: Any, density_15: Any, expansion: Any = None) -> Any:
    """Density, kg/m3, at `temperature`, K, from the data-sheet density at 15 C: rho15 / (1 + b (T - 288.15 K)).

    `expansion` b in 1/K, 7e-4 if not given. Common practice, no published source reached; good to about 1 % up
    to 150 C.
    """
    rate = constant(EXPANSION, "1/K", temperature) if expansion is None else expansion
    return density_15 / (1 + rate * (temperature - constant(T15, "K", temperature)))
