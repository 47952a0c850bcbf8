"""The pan's outside against what the car has around it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.maths import least
from kb.standards.geometry import box_separation

_FAR = 10.0  # an obstacle goes on down without end as far as a pan is concerned
_CLEAR = 1.0  # distance given when the car has nothing of the sort


def hull_gap(hull: Sequence[Any], obstacles: Sequence[Any], sort: str, lowered: Any) -> Any:
    """Smallest distance (m) between the pan's boxes and the obstacles of one sort; negative when they overlap.

    hull: boxes with x_from, x_to, y_from, y_to, depth (m from the pan's own rail face). obstacles: boxes with sort and
    top (m from the block's rail). lowered: what gasket and tray add to the depth (m). Without any such obstacle the
    distance is one metre: there is nothing to touch. ValueError for a pan without any box.
    """
    _refuse_empty(hull)
    gap: Any = _CLEAR
    for thing in obstacles:
        if thing.sort != sort:
            continue
        for box in hull:
            bottom = box.depth + lowered
            gap = least(
                gap,
                box_separation(
                    (box.x_from, box.x_to, box.y_from, box.y_to, -_CLEAR, bottom),
                    (thing.x_from, thing.x_to, thing.y_from, thing.y_to, thing.top, _FAR),
                ),
            )
    return gap


def lowest(hull: Sequence[Any], lowered: Any) -> Any:
    """Depth (m) of the lowest point of the pan's outside below the block's rail. ValueError without any box."""
    _refuse_empty(hull)
    depths = [box.depth + lowered for box in hull]
    return -least(*[-depth for depth in depths]) if len(depths) > 1 else depths[0]


def _refuse_empty(hull: Sequence[Any]) -> None:
    if not hull:
        raise ValueError("the list of the pan's outside is empty: give it as boxes")


class Box:
    """A box for worked cases."""

    def __init__(
        self, x: tuple[float, float], y: tuple[float, float], depth: float = 0.0, top: float = 0.0, sort: str = ""
    ) -> None:
        self.x_from, self.x_to = x
        self.y_from, self.y_to = y
        self.depth, self.top, self.sort = depth, top, sort
