"""The pan's flange under a straight edge, station by station along the rail."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.standards.seating_flatness import straightness_per_length


class At:
    """A station or a reading for worked cases."""

    def __init__(self, id: str, x: float = 0.0, y: float = 0.0, height: float = 0.0, face: str = "rail") -> None:
        self.id, self.x, self.y, self.height, self.face = id, x, y, height, face


def rail_points(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[tuple[float, float, float]]:
    """(x, y, height) of the pan's flange at the stations of the rail; the covers' steps are left out."""
    heights = {each.id: each.height for each in pan_side}
    return [(each.x, each.y, heights[each.id]) for each in block_side if each.face == "rail"]


def waviness(block_side: Sequence[Any], pan_side: Sequence[Any]) -> float:
    """Largest deviation from a straight edge laid along the rail, per length of the edge (m/m)."""
    return straightness_per_length(rail_points(block_side, pan_side))


def local_bow(block_side: Sequence[Any], pan_side: Sequence[Any]) -> float:
    """Largest height of a reading off the straight line between its neighbours on a straight run of the rail (m)."""
    points = rail_points(block_side, pan_side)
    worst = 0.0
    for (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) in zip(points, points[1:], points[2:], strict=False):
        span = ((x2 - x0) ** 2 + (y2 - y0) ** 2) ** 0.5
        across = abs((x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0))
        if span == 0 or across > 0.02 * span * span:
            continue  # around a corner there is no straight edge to lay
        share = ((x1 - x0) * (x2 - x0) + (y1 - y0) * (y2 - y0)) / span**2
        worst = max(worst, abs(z1 - z0 - share * (z2 - z0)))
    return worst
