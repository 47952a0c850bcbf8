"""The inside of an oil pan as rectangles of one depth: what lies under a foot, and what volume lies below a level."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from kb.maths import least, most, where


def volume_below(floor: Sequence[Any], level: Any) -> Any:
    """Volume between a level and the floor, in m3.

    floor: rectangles with x_from, x_to, y_from, y_to and depth (m below the rail); level: depth of the surface (m).
    The walls are taken as upright, so a draft angle makes it an upper figure of a few per cent. ValueError without
    any rectangle.
    """
    if not floor:
        raise ValueError("the list of the pan's floor is empty: give it as rectangles of one depth")
    total: Any = None
    for zone in floor:
        area = (zone.x_to - zone.x_from) * (zone.y_to - zone.y_from)
        volume = area * most(zone.depth - level, 0.0 * zone.depth)
        total = volume if total is None else total + volume
    return total


def least_depth_under(floor: Sequence[Any], x: float, y: float, length: Any, width: Any, shape: str = "slot") -> Any:
    """Depth (m) of the shallowest recorded floor under a foot of `length` x `width` (m) centred at (x, y).

    shape: round for a disc of the diameter `length`; anything else is taken as the rectangle around it. ValueError
    where no recorded floor lies under the foot; NaN there in an array.
    """
    depth: Any = math.inf
    for zone in floor:
        if shape == "round":
            beside = _beside(x, zone.x_from, zone.x_to) ** 2 + _beside(y, zone.y_from, zone.y_to) ** 2
            under = beside < (length / 2) ** 2
        else:
            over_x = _overlap(x, length, zone.x_from, zone.x_to)
            under = over_x * _overlap(y, width, zone.y_from, zone.y_to) > 0
        depth = least(depth, where(under, zone.depth, math.inf))
    return _sure(depth < math.inf, depth, "no recorded floor lies under the foot")


def depth_under(floor: Sequence[Any], x: float, y: float, length: Any, width: Any, shape: str = "slot") -> Any:
    """Depth (m) of the shallowest floor under a foot; arguments as for `least_depth_under`.

    ValueError where the foot reaches beyond the recorded floor: what lies there nobody knows, and it may be the pan's
    wall; NaN there in an array.
    """
    depth = least_depth_under(floor, x, y, length, width, shape)
    covered: Any = 0.0
    for x_from, x_to, y_from, y_to in _cells(floor):
        covered = covered + _overlap(x, length, x_from, x_to) * _overlap(y, width, y_from, y_to)
    return _sure(covered > length * width * (1 - 1e-9), depth, "the foot reaches beyond the recorded floor")


def _beside(at: float, start: float, end: float) -> float:
    return max(start - at, 0.0, at - end)


def _overlap(middle: float, size: Any, start: float, end: float) -> Any:
    return most(least(middle + size / 2, end) - most(middle - size / 2, start), 0.0)


def _cells(floor: Sequence[Any]) -> list[tuple[float, float, float, float]]:
    """The floor cut along all its edges, so that overlapping rectangles are not counted twice."""
    xs = sorted({edge for zone in floor for edge in (zone.x_from, zone.x_to)})
    ys = sorted({edge for zone in floor for edge in (zone.y_from, zone.y_to)})
    return [
        (x_from, x_to, y_from, y_to)
        for x_from, x_to in pairwise(xs)
        for y_from, y_to in pairwise(ys)
        if any(
            zone.x_from <= x_from < x_to <= zone.x_to and zone.y_from <= y_from < y_to <= zone.y_to for zone in floor
        )
    ]


def _sure(known: Any, depth: Any, otherwise: str) -> Any:
    if getattr(known, "shape", None):
        return where(known, depth, math.nan)
    if not known:
        raise ValueError(otherwise)
    return depth
