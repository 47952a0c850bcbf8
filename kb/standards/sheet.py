"""A plain sheet gasket under the load of its bolts: mean pressure against its stiffness (definition of a modulus)."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.maths import most


def flange_length(stations: Sequence[Any]) -> float:
    """Length (m) of the closed line through the stations, in the order given."""
    points = [(each.x, each.y) for each in stations]
    pairs = zip(points, [*points[1:], points[0]], strict=True) if points else []
    return float(sum(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5 for (x1, y1), (x2, y2) in pairs))


def clamped_thickness(free: Any, solid: Any, modulus: Any, width: Any, stations: Sequence[Any], load: Any) -> Any:
    """Mean thickness (m) of the clamped sheet.

    free, solid: thickness unclamped and fully crushed (m); modulus (Pa); width of the sheet on the land (m); load of
    one bolt (N). The mean pressure is all bolts' load over the sheet's area. ValueError for stations in one place.
    """
    around = flange_length(stations)
    if around <= 0.0:
        raise ValueError("the stations of the joint lie in one place: give each its x and y")
    bolts = sum(1 for each in stations if each.bolt)
    pressure = bolts * load / (around * width)
    return most(free * (1 - pressure / modulus), solid)
