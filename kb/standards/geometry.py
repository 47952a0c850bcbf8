"""Plane and solid geometry of fitment: inlet curtains, tilted oil, hulls, boxes, shaft joints.

Lengths in m, areas in m2, angles in radians. The formulas take floats, numpy arrays or Pint quantities; hull and
polygon functions take plain (x, y) pairs of floats, one shape at a time.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.maths import acos, cos, least, most, sin

Point = tuple[float, float]


def round_perimeter(diameter: Any) -> Any:
    """Perimeter, m, of a round foot: pi D."""
    return math.pi * diameter


def slot_perimeter(length: Any, width: Any) -> Any:
    """Perimeter, m, of a slot with round ends, `length` over all: 2 (l - w) + pi w."""
    return 2 * (length - width) + math.pi * width


def curtain_area(perimeter: Any, gap: Any) -> Any:
    """Area, m2, through which liquid enters under a foot held `gap`, m, over the floor: perimeter times gap."""
    return perimeter * gap


def curtain_ratio(perimeter: Any, gap: Any, tube_diameter: Any) -> Any:
    """Curtain area over the area of the tube's bore, pure. A foot as wide as its tube gives 4 h / D."""
    return curtain_area(perimeter, gap) / (math.pi / 4 * tube_diameter**2)


def open_end_ratio(tube_diameter: Any, gap: Any) -> Any:
    """Curtain over bore area of a plain tube end, `gap` over the floor: 4 h / D."""
    return 4 * gap / tube_diameter


def curtain_gap(perimeter: Any, tube_diameter: Any, ratio: Any = 1.0) -> Any:
    """Gap, m, at which the curtain is `ratio` times the bore area: k pi d^2 / (4 perimeter).

    A round foot of diameter D gives k d^2 / (4 D); a plain tube end D/4 at k = 1.
    """
    return ratio * math.pi / 4 * tube_diameter**2 / perimeter


def tilt_difference(length: Any, angle: Any) -> Any:
    """Difference of level, m, over `length`, m, when the vessel or the surface tilts by `angle`: L tan a."""
    return length * sin(angle) / cos(angle)


def box_separation(first: Sequence[Any], second: Sequence[Any]) -> Any:
    """Distance, m, between two boxes with edges along the axes; negative is how deep they overlap.

    Each box is (x1, x2, y1, y2, z1, z2) with x1 <= x2 and so on. Apart: the shortest distance, round corners too.
    Overlapping: minus the shortest move along one axis that frees them. Touching: 0.
    """
    gaps = [most(second[axis] - first[axis + 1], first[axis] - second[axis + 1]) for axis in (0, 2, 4)]
    apart = sum((most(gap, 0 * gap) ** 2 for gap in gaps[1:]), most(gaps[0], 0 * gaps[0]) ** 2) ** 0.5
    widest = most(*gaps)
    return apart + least(widest, 0 * widest)


class SpeedRange(NamedTuple):
    """The fastest and the slowest that a joint drives, in the unit of the speed given."""

    most: Any
    least: Any


def joint_speeds(speed: Any, angle: Any) -> SpeedRange:
    """Speeds of the driven yoke of a single cross joint bent by `angle`: N / cos b and N cos b."""
    return SpeedRange(speed / cos(angle), speed * cos(angle))


def joint_fluctuation(angle: Any) -> Any:
    """Total fluctuation over mean speed of a single cross joint: 1/cos b - cos b."""
    return 1 / cos(angle) - cos(angle)


def joint_angle(fluctuation: Any) -> Any:
    """Angle of a single cross joint whose total `fluctuation` over speed is given: `joint_fluctuation` turned round.

    1/c - c = r gives c = (sqrt(r^2 + 4) - r) / 2.
    """
    return acos(((fluctuation**2 + 4) ** 0.5 - fluctuation) / 2)


def converter_pullout(pad_depth: Any, flexplate_depth: Any) -> Any:
    """How far, m, the bolts draw a seated converter forward: its pads' depth minus the flexplate face's depth.

    Both measured into the bell from its engine face. Negative: the converter pushes into the pump. Follows from
    the definition.
    """
    return pad_depth - flexplate_depth


def _turn(origin: Point, a: Point, b: Point) -> float:
    return (a[0] - origin[0]) * (b[1] - origin[1]) - (a[1] - origin[1]) * (b[0] - origin[0])


def convex_hull(points: Iterable[Point]) -> tuple[Point, ...]:
    """Corners of the convex hull, counter-clockwise from the leftmost (then lowest); points on an edge are left out.

    One corner for equal points, two for points on a line, none for no points. Source: Andrew's monotone chain.
    """
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def chain(path: Iterable[Point]) -> list[Point]:
        corners: list[Point] = []
        for point in path:
            while len(corners) > 1 and _turn(corners[-2], corners[-1], point) <= 0:
                corners.pop()
            corners.append(point)
        return corners[:-1]

    return tuple(chain(ordered) + chain(reversed(ordered)))


def segment_distance(point: Point, start: Point, end: Point) -> float:
    """Distance, m, from a point to the stretch of line from `start` to `end`."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    along = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square if square > 0 else 0.0
    along = min(1.0, max(0.0, along))
    return math.hypot(point[0] - start[0] - along * dx, point[1] - start[1] - along * dy)


def _edges(polygon: Sequence[Point]) -> Iterable[tuple[Point, Point]]:
    return zip(polygon, (*polygon[1:], polygon[0]), strict=True)


def contains(polygon: Sequence[Point], point: Point) -> bool:
    """Whether a point lies inside a simple polygon, convex or not, of either sense (even-odd rule).

    Points on the boundary may fall either way: compare `boundary_distance` with 0 where that matters.
    """
    inside = False
    x, y = point
    for (x1, y1), (x2, y2) in _edges(polygon):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
            inside = not inside
    return inside


def boundary_distance(polygon: Sequence[Point], point: Point) -> float:
    """Distance, m, from a point to the edge of a simple polygon: positive inside, negative outside.

    A single point or a line as polygon has no inside. Raises ValueError for a polygon without corners.
    """
    if not polygon:
        raise ValueError("a polygon needs at least one corner")
    distance = min(segment_distance(point, start, end) for start, end in _edges(polygon))
    return distance if contains(polygon, point) else -distance
