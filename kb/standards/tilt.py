"""The oil's surface in a pan pushed sideways: a plane tilted by the acceleration, over a floor of rectangles."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

_HALVINGS = 70


class Strip(NamedTuple):
    """A piece of floor along the direction of tilt: from, to and width in m, depth below the rail in m."""

    start: float
    end: float
    width: float
    depth: float


def strips(floor: Sequence[Any], along: str) -> list[Strip]:
    """The floor's rectangles as seen along "x" or "y"."""
    return [
        Strip(zone.x_from, zone.x_to, zone.y_to - zone.y_from, zone.depth)
        if along == "x"
        else Strip(zone.y_from, zone.y_to, zone.x_to - zone.x_from, zone.depth)
        for zone in floor
    ]


def tilted_volume(floor: Sequence[Strip], level: float, slope: float) -> float:
    """Volume, m3, between the floor and the plane whose depth is level + slope s; exact for upright walls.

    level: depth of the plane at s = 0, m; slope: growth of that depth with s. The plane may pass above the rail.
    """
    total = 0.0
    for strip in floor:
        first, last = (max(0.0, strip.depth - level - slope * s) for s in (strip.start, strip.end))
        if abs(slope) < 1e-12:
            total += strip.width * (strip.end - strip.start) * first
        else:
            total += strip.width * (first * first - last * last) / (2 * slope)
    return total


def tilted_level(floor: Sequence[Strip], volume: float, slope: float) -> float:
    """Depth, m, at s = 0 of the tilted plane below which `volume`, m3, lies. ValueError without any floor.

    The tangent of the tilt is the acceleration over that of gravity. Found by halving: the deeper the level, the less
    volume.
    """
    if not floor:
        raise ValueError("the list of the pan's floor is empty: give it as rectangles of one depth")
    low = max(strip.depth - slope * s for strip in floor for s in (strip.start, strip.end))
    area = min(strip.width * (strip.end - strip.start) for strip in floor)
    reach = max(abs(s) for strip in floor for s in (strip.start, strip.end))
    high = low - volume / area - 2 * abs(slope) * reach - 1e-3
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if tilted_volume(floor, middle, slope) < volume else (low, middle)
    return (low + high) / 2
