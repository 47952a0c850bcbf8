"""Flatness of a rail or a flange from depth or straight-edge readings: no numpy, small sets of points.

Readings lean with the datum that they were taken from, so a lean of the whole face is never counted as a fault.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from kb.standards.seating_lp import solve_lp
from kb.standards.seating_rigid import fit_plane

FOOT = 0.3048  # m: the straight edge of a limit told "per foot" (0.004 in per foot for cast rails [tm-9-2815])
_STRAIGHT = 1.02  # path to straight distance: a straight edge cannot be laid round a corner

Point = tuple[float, float, float]


def _check(points: Sequence[Point]) -> None:
    if not points:
        raise ValueError("flatness needs at least one reading")
    if not all(math.isfinite(value) for point in points for value in point):
        raise ValueError("a reading or its place is not a finite number")


def flatness(points: Sequence[Point]) -> float:
    """Peak to valley (m) of the readings (x, y, z in m) about the plane that makes it least (minimum zone).

    Exact, as a linear programme; 0 for three readings or fewer. In the sense of ISO 1101, with the zone's width
    taken along z, which for a face that leans by 1 in 100 differs by 1 in 20 000. ValueError: no or nonfinite points.
    """
    _check(points)
    count = len(points)
    cx, cy = sum(p[0] for p in points) / count, sum(p[1] for p in points) / count
    reach = max(math.dist((cx, cy), p[:2]) for p in points) or 1.0
    middle = sum(p[2] for p in points) / count
    height = max(abs(p[2] - middle) for p in points)
    if height == 0.0:
        return 0.0
    # dual of: least e with |z - plane| <= e; each reading pushes the plane up or down
    up = [(1.0, (x - cx) / reach, (y - cy) / reach, 1.0) for x, y, _ in points]
    down = [(-1.0, -x, -y, 1.0) for _, x, y, _ in up]
    costs = [(z - middle) / height for _, _, z in points]
    basis = solve_lp(up + down, costs + [-cost for cost in costs], (0.0, 0.0, 0.0, 1.0))
    if basis is None:
        raise ValueError("these readings have no flatness")
    both = costs + [-cost for cost in costs]
    return max(0.0, 2.0 * height * sum(both[j] * weight for j, weight in basis))


def _level(points: Sequence[Point]) -> list[Point]:
    """The readings less their mean plane."""
    _check(points)
    count = len(points)
    cx, cy = sum(p[0] for p in points) / count, sum(p[1] for p in points) / count
    reach = max(math.dist((cx, cy), p[:2]) for p in points) or 1.0
    xs, ys = [(p[0] - cx) / reach for p in points], [(p[1] - cy) / reach for p in points]
    a, b, c = fit_plane([1.0] * count, [p[2] for p in points], xs, ys)
    return [(p[0], p[1], p[2] - (a + b * x + c * y)) for p, x, y in zip(points, xs, ys, strict=True)]


class Edge(NamedTuple):
    """A straight edge laid from reading to reading: `middle` stands `deviation` (m) off it, proud positive.

    start, middle, end: indexes of the readings; length: of the edge (m); share: how far along `middle` is, 0 to 1.
    """

    start: int
    middle: int
    end: int
    deviation: float
    length: float
    share: float


def edges(points: Sequence[Point], *, edge: float = FOOT, closed: bool = True) -> list[Edge]:
    """Every reading against every straight edge that can be laid over it, along the path of the readings.

    The edge is laid from any reading to any other on a straight run, no further apart than `edge` (m), and from
    neighbour to neighbour of each reading even where that is further. None where no straight run has three readings.
    Each deviation is a sum of three heights. `closed`: the last reading is followed by the first. ValueError: no or
    nonfinite points.
    """
    _check(points)
    count = len(points)
    found = []
    for i in range(count):
        x0, y0, z0 = points[i]
        path, run = 0.0, [i]
        for step in range(1, count):
            if i + step >= count and not closed:
                break
            end = (i + step) % count
            here = points[end]
            path += math.dist(points[run[-1]][:2], here[:2])
            run.append(end)
            dx, dy = here[0] - x0, here[1] - y0
            length = math.hypot(dx, dy)
            if step > 2 and path > edge:
                break
            if length <= 0.0 or path > _STRAIGHT * length:
                continue
            for middle in run[1:-1]:
                x, y, z = points[middle]
                share = ((x - x0) * dx + (y - y0) * dy) / (length * length)
                found.append(Edge(i, middle, end, z - z0 - share * (here[2] - z0), length, share))
    return found


def straightness_per_length(points: Sequence[Point], *, edge: float = FOOT, closed: bool = True) -> float:
    """Largest light under (or hump above) a straight edge, per its length (m/m); arguments as for `edges`.

    0 where no straight run has three readings.
    """
    found = edges(_level(points), edge=edge, closed=closed)
    return max((abs(each.deviation) / each.length for each in found), default=0.0)


def worst_slope(points: Sequence[Point], *, closed: bool = True) -> float:
    """Steepest rise (m/m) from one reading to the next along the path, after the lean of the whole face is removed.

    Readings in one place are skipped. ValueError: no or nonfinite points.
    """
    level = _level(points)
    first = 0 if closed and len(level) > 2 else 1
    steep = 0.0
    for i in range(first, len(level)):
        (x0, y0, z0), (x1, y1, z1) = level[i - 1], level[i]
        length = math.hypot(x1 - x0, y1 - y0)
        if length > 0.0:
            steep = max(steep, abs(z1 - z0) / length)
    return steep
