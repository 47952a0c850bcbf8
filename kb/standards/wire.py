"""Copper wire: gauge numbers and metric areas, resistance at temperature, voltage lost, and the size to choose.

SI throughout: areas in square metres, lengths in metres, temperatures in kelvin, resistances in ohms. The formulas take
floats, numpy arrays or Pint quantities; the tables and the choice of a size work on floats.

A metric size is a class of resistance, not of copper: `effective_area` is the area of plain copper at 20 degC with the
same resistance as the cable, so that every size goes through one formula.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from kb.errors import NotationFault
from kb.maths import constant

# IEC 60028: annealed copper, 1/58 ohm.mm2/m at 20 degC, temperature coefficient of resistance 0.00393 /K there.
RESISTIVITY_20 = 1 / 58e6
COEFFICIENT = 0.00393
ROOM = 293.15
# Longer path of the strands of a laid cable: 2 % (NEC chapter 9 table 8, stranded against solid).
LAY = 1.02

# IEC 60228, greatest resistance at 20 degC, ohm/km, by nominal area in mm2: plain copper, class 2 (stranded) and
# class 5 (flexible, as battery cable is).
CLASS_2 = {
    0.5: 36.0, 0.75: 24.5, 1.0: 18.1, 1.5: 12.1, 2.5: 7.41, 4.0: 4.61, 6.0: 3.08, 10.0: 1.83, 16.0: 1.15, 25.0: 0.727,
    35.0: 0.524, 50.0: 0.387, 70.0: 0.268, 95.0: 0.193, 120.0: 0.153, 150.0: 0.124, 185.0: 0.0991, 240.0: 0.0754,
    300.0: 0.0601,
}  # fmt: skip
CLASS_5 = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21, 25.0: 0.780,
    35.0: 0.554, 50.0: 0.386, 70.0: 0.272, 95.0: 0.206, 120.0: 0.161, 150.0: 0.129, 185.0: 0.106, 240.0: 0.0801,
    300.0: 0.0641,
}  # fmt: skip

# The sizes that battery and starter cable is sold in, largest last.
GAUGES = tuple(range(16, -4, -1))
METRIC = (1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0, 50.0, 70.0, 95.0, 120.0)


def awg_diameter(gauge: Any) -> Any:
    """Diameter of the bare solid wire, m: 0.005 in x 92^((36 - n) / 39), n = 0 for 1/0, -1 for 2/0 (ASTM B258)."""
    return 0.005 * 0.0254 * 92 ** ((36 - gauge) / 39)


def awg_area(gauge: Any) -> Any:
    """Area of the bare solid wire, m2 (ASTM B258)."""
    return math.pi / 4 * awg_diameter(gauge) ** 2


def gauge_for_area(area: float) -> float:
    """The gauge number, a fraction of one included, of a wire of this area, m2: the inverse of `awg_area`."""
    return 36 - 39 * math.log(math.sqrt(4 * area / math.pi) / (0.005 * 0.0254)) / math.log(92)


def gauge_name(gauge: int) -> str:
    """`2/0 AWG` for -1, `4 AWG` for 4."""
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def metric_name(area: float) -> str:
    """`25 mm2` for 25.0."""
    return f"{area:g} mm2"


def resistivity(temperature: Any = ROOM) -> Any:
    """Resistivity of annealed copper, ohm.m, at `temperature`, K: rho20 (1 + 0.00393 (T - 293.15)) (IEC 60028)."""
    rise = temperature - constant(ROOM, "kelvin", temperature)
    return constant(RESISTIVITY_20, "ohm*meter", temperature) * (
        1 + constant(COEFFICIENT, "1/kelvin", temperature) * rise
    )


def resistance(length: Any, area: Any, temperature: Any = ROOM) -> Any:
    """Resistance of a conductor, ohm: rho(T) L / A."""
    return resistivity(temperature) * length / area


def voltage_drop(current: Any, length: Any, area: Any, temperature: Any = ROOM) -> Any:
    """Voltage lost along one conductor, V. Both ways of a pair: twice the distance is its length."""
    return current * resistance(length, area, temperature)


def least_area(current: Any, length: Any, drop: Any, temperature: Any = ROOM) -> Any:
    """Least copper area, m2, of a conductor that loses no more than `drop` over its whole `length`: rho L I / dV."""
    return resistivity(temperature) * length * current / drop


class Size(NamedTuple):
    """A size that can be bought. area: of plain copper with the same resistance, m2."""

    name: str
    area: float


def _sizes() -> dict[str, Size]:
    gauges = [Size(gauge_name(gauge), awg_area(gauge) / LAY) for gauge in GAUGES]
    metric = [Size(metric_name(area), RESISTIVITY_20 / (CLASS_5[area] / 1000)) for area in METRIC]
    return {size.name: size for size in (*gauges, *metric)}


SIZES = _sizes()
SIZE_NAMES = tuple(SIZES)


def effective_area(name: str) -> float:
    """Area of plain copper with the resistance of the cable `name` (`2 AWG`, `25 mm2`), m2.

    A gauge by ASTM B258 and 2 % for the lay of its strands; a metric size by the greatest resistance that IEC 60228
    allows class 5. NotationFault for a size that is not sold.
    """
    try:
        return SIZES[name].area
    except KeyError:
        raise NotationFault(
            f"{name!r} is no size of cable known here", step=f"it is one of {', '.join(SIZE_NAMES)}"
        ) from None


def sizes_for(area: float) -> tuple[str, ...]:
    """The thinnest gauge and the thinnest metric cable with at least this area of copper, m2; () if none is."""
    found = []
    for unit in ("AWG", "mm2"):
        enough = [size for size in SIZES.values() if size.name.endswith(unit) and size.area >= area * (1 - 1e-9)]
        if enough:
            found.append(min(enough, key=lambda size: size.area).name)
    return tuple(found)
