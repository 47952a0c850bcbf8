"""How much oil stands over the pickup's mouth when the car turns, stops or pulls away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.standards.tilt import strips, tilted_level, tilted_volume

G = 9.80665


class Zone:
    """A rectangle of floor, for worked cases."""

    def __init__(self, x: tuple[float, float], y: tuple[float, float], depth: float) -> None:
        self.x_from, self.x_to = x
        self.y_from, self.y_to = y
        self.depth = depth


def kept(floor: Sequence[Any], baffled: bool, x: float, y: float) -> list[Any]:
    """The floor on which the oil can run about: all of it, or with baffles the rectangle that the foot hangs over.

    ValueError where baffles are said to keep the oil and no recorded rectangle lies under the foot.
    """
    if not baffled:
        return list(floor)
    under = [z for z in floor if z.x_from <= x <= z.x_to and z.y_from <= y <= z.y_to]
    if not under:
        raise ValueError("no recorded floor lies under the foot")
    return under[:1]


def covers(
    floor: Sequence[Any], mark: float, hang: float, foot: tuple[float, float], size: tuple[float, float],
    loads: tuple[float, float, float],
) -> list[tuple[str, float]]:  # fmt: skip
    """Cover, m, over the rim of the foot in each direction; negative where the rim stands dry.

    floor: rectangles, depth from the rail; mark: depth of the level surface, m; hang: depth of the rim, m; foot: its
    middle (x, y), m; size: its length along x and width along y, m; loads: sideways, braking and pulling away, m/s2.
    """
    side, brake, pull = (load / G for load in loads)
    made = []
    # Depth of the surface grows away from where the oil piles up: forward in a stop, to the right in a left-hand bend.
    for name, along, slope, place, half in (
        ("left-hand bend", "y", -side, foot[1], size[1] / 2),
        ("right-hand bend", "y", side, foot[1], size[1] / 2),
        ("hard stop", "x", brake, foot[0], size[0] / 2),
        ("pulling away", "x", -pull, foot[0], size[0] / 2),
    ):
        pieces = strips(floor, along)
        volume = tilted_volume(pieces, mark, 0.0)
        level = tilted_level(pieces, volume, slope)
        made.append((name, hang - (level + slope * place + abs(slope) * half)))
    return made
