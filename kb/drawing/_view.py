"""Where the parts of the section lie on the page."""

from __future__ import annotations

from typing import NamedTuple

from kb.drawing._scene import Scene

LEFT, ROOM, COLUMN, LABELS = 10.0, 219.0, 237.0, 248.0  # px: parts from LEFT, dimension line, words
TALL = 240.0  # px: most that the parts take in height
RIM = 0.015  # m: width drawn for the flange at each end
_ABOVE = 0.016  # m of block drawn over the rail


class View(NamedTuple):
    """Where a place of the engine lies on the page; `scale` in px per m."""

    x0: float
    z0: float
    top: float
    scale: float
    right: float

    def x(self, x: float) -> float:
        return LEFT + (x - self.x0) * self.scale

    def z(self, z: float) -> float:
        return self.top + (z - self.z0) * self.scale


def view_of(scene: Scene, top: float) -> tuple[View, float]:
    """The scale at which everything fits, and the height on the page where the parts end."""
    boxes = scene.near
    deep = max([scene.deepest + 0.008, *(thing.top.value + 0.02 for thing in boxes)])
    high = max(-0.12, min([-_ABOVE, *(mark.depth.value - 0.012 for mark in scene.marks)]))
    reach = 0.25 * (scene.x_to - scene.x_from)
    x_from = max(scene.x_from - reach, min([scene.x_from - RIM, *(thing.x_from for thing in boxes)]))
    x_to = min(scene.x_to + reach, max([scene.x_to + RIM, *(thing.x_to for thing in boxes)]))
    scale = min(ROOM / (x_to - x_from), TALL / (deep - high))
    view = View(x_from, high, top, scale, LEFT + (x_to - x_from) * scale)
    return view, view.z(deep)


def foot_place(scene: Scene) -> float:
    """Place of the foot's centre along the engine, m; over the deepest floor where it is not recorded."""
    if scene.foot_x is not None:
        return scene.foot_x
    deepest = max(scene.floors, key=lambda piece: piece.depth.value, default=None)
    return (deepest.x_from + deepest.x_to) / 2 if deepest is not None else (scene.x_from + scene.x_to) / 2


def foot_half(scene: Scene) -> float:
    """Half the length of the foot along the engine, m; a usual one where it is not recorded."""
    return (scene.foot_length.value if scene.foot_length is not None else 0.07) / 2
