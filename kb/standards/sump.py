"""The inside of an oil pan as rectangles of one depth: what lies under a foot, and what volume lies below a level."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.maths import most


def volume_below(floor: Sequence[Any], level: Any) -> Any:
    """Volume between a level and the floor, in m3.

    floor: rectangles with x_from, x_to, y_from, y_to and depth (m below the rail); level: depth of the surface (m).
    The walls are taken as upright, so a draft angle makes it an upper figure of a few per cent.
    """
    total: Any = 0.0
    for zone in floor:
        area = (zone.x_to - zone.x_from) * (zone.y_to - zone.y_from)
        total = total + area * most(zone.depth - level, 0.0 * zone.depth)
    return total


def depth_under(floor: Sequence[Any], x: float, y: float, length: float, width: float) -> Any:
    """Depth (m) of the shallowest floor under a foot of `length` x `width` centred at (x, y).

    A foot that reaches beyond the recorded floor stands over the pan's wall: its depth there is 0, so that the gap
    comes out as a clash and not as a lucky guess.
    """
    low_x, high_x = x - length / 2, x + length / 2
    low_y, high_y = y - width / 2, y + width / 2
    depth: Any = None
    covered = 0.0
    for zone in floor:
        over_x = min(high_x, zone.x_to) - max(low_x, zone.x_from)
        over_y = min(high_y, zone.y_to) - max(low_y, zone.y_from)
        if over_x <= 0 or over_y <= 0:
            continue
        covered += over_x * over_y
        depth = zone.depth if depth is None else -most(-depth, -zone.depth)
    if depth is None or covered < length * width * (1 - 1e-9):
        return 0.0
    return depth
