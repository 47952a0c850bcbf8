"""What the section shows: depths below the rail and lengths along the engine, read off the parts of a build."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

from kb.build import Build
from kb.drawing._values import Known, ask, how_known
from kb.measure import Dimension
from kb.roles import (
    block,
    crank,
    dipstick,
    oil_pump,
    pan,
    pan_gasket,
    pickup,
    windage_tray,
)
from kb.rules._rule import optional
from kb.rules.clearance._sweep import sweep_depth

LENGTH = 0.45  # m: length drawn for a pan whose lengths nobody recorded
FOOT_REACH = 0.04  # m: floor drawn beyond the foot on each side where the floor's rectangles are not recorded
_NEAR = 0.06  # m: a box of the car that begins farther below the sump is left out


class Mark(NamedTuple):
    """A depth that the drawing shows. word: short name in the picture; name: in full."""

    word: str
    name: str
    depth: Known


class Floor(NamedTuple):
    """A piece of the inside floor, x in m. edges: whether its ends along the engine are recorded."""

    x_from: float
    x_to: float
    depth: Known
    edges: bool = True


class Obstacle(NamedTuple):
    """A box of the car. beside: it lies to the left or right of the plane of the section."""

    name: str
    x_from: float
    x_to: float
    top: Known
    beside: bool


class Scene(NamedTuple):
    """All that is drawn. Depths in m below the block's rail, as the parts lie once bolted up."""

    x_from: float
    x_to: float
    lengths_known: bool
    gasket: Known | None
    free: Known | None
    tray: Known | None
    flange: Known | None
    floors: tuple[Floor, ...]
    hull: tuple[Floor, ...]
    floor: Known | None
    hang: Known | None
    gap: Known | None
    inlet: Known | None
    bore: Known | None
    foot_x: float | None
    foot_length: Known | None
    marks: tuple[Mark, ...]
    obstacles: tuple[Obstacle, ...]
    names: Mapping[str, str]

    @property
    def deepest(self) -> float:
        """The lowest thing of the engine that is drawn (m)."""
        depths = [mark.depth.value for mark in self.marks]
        return max([self.lowered, *depths, *(piece.depth.value for piece in (*self.floors, *self.hull))])

    @property
    def near(self) -> tuple[Obstacle, ...]:
        """The boxes of the car that are near enough to be drawn."""
        reach = 0.25 * (self.x_to - self.x_from)
        return tuple(
            thing
            for thing in self.obstacles
            if thing.top.value < self.deepest + _NEAR
            and thing.x_from < self.x_to + reach
            and thing.x_to > self.x_from - reach
        )

    @property
    def lowered(self) -> float:
        """How far gasket and tray hold the pan off the rail (m)."""
        return sum(each.value for each in (self.gasket, self.tray) if each is not None)


def scene_of(build: Build) -> Scene:
    """Read the build; whatever is missing stays None or stands unsure at the middle of its plausible range."""
    seal = optional(pan_gasket.installed_thickness, absent=0.0)
    rim = optional(windage_tray.rim_thickness, absent=0.0)
    lowered = ask(build, lambda gasket, tray: gasket + tray, seal, rim)
    assert lowered is not None  # both may be absent, and both have a plausible range
    y = _position(build, "pickup", "foot_y") or 0.0
    foot_x = _position(build, "pickup", "foot_x")
    foot_length = ask(build, float_of, pickup.foot_length)
    floor = ask(build, _sum, pan.sump_depth, seal, rim)
    shelf = ask(build, _sum, pan.shelf_depth, seal, rim)
    zones = _boxes(build, "floor", y, lowered)
    hull = _boxes(build, "hull", y, lowered)
    x_from, x_to, known = _lengths(build, zones or hull, foot_x)
    floors = zones or _made_up(floor, shelf, x_from, x_to, foot_x, foot_length)
    sweep = ask(build, sweep_depth, block.crank_drop, crank.counterweight_swing, crank.big_end_swing)
    hang = ask(build, float_of, pickup.hang)
    inlet = ask(build, float_of, oil_pump.inlet_depth)
    wanted = (
        ("inlet", "pump inlet, centre", inlet),
        ("crank", "lowest point that crank and rods sweep", sweep if sweep is not None and sweep.sure else None),
        ("tray", "windage tray, highest point", ask(build, float_of, windage_tray.top_depth)),
        ("full", "oil at the full mark", ask(build, float_of, dipstick.full_mark_depth)),
        ("low", "oil at the low mark", ask(build, float_of, dipstick.low_mark_depth)),
        ("shelf", "inside of the pan's shelf, pan bolted up", shelf if shelf is not None and shelf.sure else None),
        ("foot", "pickup foot, lowest point", hang),
        ("floor", "pan floor under the foot, pan bolted up", floor),
    )
    return Scene(
        x_from, x_to, known,
        ask(build, float_of, pan_gasket.installed_thickness),
        ask(build, float_of, pan_gasket.free_thickness),
        ask(build, float_of, windage_tray.rim_thickness),
        ask(build, float_of, pan.flange_thickness),
        floors, hull, floor, hang,
        ask(build, _gap, pan.sump_depth, seal, rim, pickup.hang),
        inlet,
        ask(build, float_of, pickup.tube_bore),
        foot_x, foot_length,
        tuple(Mark(word, name, depth) for word, name, depth in wanted if depth is not None),
        _obstacles(build, y),
        {role: part.name or part.id for role, part in build.parts.items()},
    )  # fmt: skip


def float_of(value: Any) -> Any:
    """The value itself."""
    return value


def _gap(depth: Any, gasket: Any, tray: Any, foot: Any) -> Any:
    return depth + gasket + tray - foot


def _sum(*values: Any) -> Any:
    return sum(values)


def _position(build: Build, role: str, feature: str) -> float | None:
    part = build.parts.get(role)
    value = part.facts.get(feature) if part is not None else None
    return float(value) if isinstance(value, int | float) else None


def _entries(build: Build, role: str, feature: str) -> Sequence[Mapping[str, Any]]:
    part = build.parts.get(role)
    return (part.facts.get(feature) or ()) if part is not None else ()


def _crosses(entry: Mapping[str, Any], y: float) -> bool:
    return bool(entry["y_from"] <= y <= entry["y_to"]) if "y_from" in entry and "y_to" in entry else True


def _boxes(build: Build, feature: str, y: float, lowered: Known) -> tuple[Floor, ...]:
    """The pan's rectangles that the plane of the section crosses, all of them where it crosses none, by x.

    Where two overlap along the engine the shallower is drawn, as the rules take it.
    """
    every = [
        entry
        for entry in _entries(build, "pan", feature)
        if "x_from" in entry and "x_to" in entry and isinstance(entry.get("depth"), Dimension)
    ]
    crossed = [entry for entry in every if _crosses(entry, y)] or every
    edges = sorted({float(entry[end]) for entry in crossed for end in ("x_from", "x_to")})
    deep = feature == "hull"
    found = []
    for left, right in pairwise(edges):
        over = [entry for entry in crossed if entry["x_from"] < right and entry["x_to"] > left]
        if over:
            chosen = sorted(over, key=lambda entry: entry["depth"].value)[-1 if deep else 0]["depth"]
            u = (chosen.u**2 + lowered.u**2) ** 0.5
            depth = Known(chosen.value + lowered.value, u, lowered.sure, how_known(chosen))
            found.append(Floor(left, right, depth))
    return tuple(found)


def _lengths(build: Build, boxes: Sequence[Floor], foot_x: float | None) -> tuple[float, float, bool]:
    """Front and rear end of the section, and whether they are recorded."""
    if boxes:
        return boxes[0].x_from, boxes[-1].x_to, True
    places = [entry["x"] for entry in _entries(build, "block", "stations") if "x" in entry]
    if places and max(places) > min(places):
        return min(places), max(places), True
    begin = max(0.0, foot_x - 0.7 * LENGTH) if foot_x is not None else 0.0
    return begin, begin + LENGTH, False


def _made_up(
    floor: Known | None, shelf: Known | None, x_from: float, x_to: float, foot_x: float | None, length: Known | None
) -> tuple[Floor, ...]:
    """Shelf and sump where only their depths are recorded: the ends along the engine are for show."""
    if floor is None:
        return ()
    if shelf is None or not shelf.sure:
        return (Floor(x_from, x_to, floor, edges=False),)
    middle = foot_x if foot_x is not None else x_from + 0.7 * (x_to - x_from)
    reach = (length.value / 2 if length is not None else 0.04) + FOOT_REACH
    left, right = max(x_from, middle - reach), min(x_to, middle + reach)
    pieces = (
        Floor(x_from, left, shelf, edges=False),
        Floor(left, right, floor, edges=False),
        Floor(right, x_to, shelf, edges=False),
    )
    return tuple(piece for piece in pieces if piece.x_to > piece.x_from)


def _obstacles(build: Build, y: float) -> tuple[Obstacle, ...]:
    found = []
    for entry in _entries(build, "car", "obstacles"):
        top = entry.get("top")
        if not isinstance(top, Dimension) or "x_from" not in entry or "x_to" not in entry:
            continue
        depth = Known(top.value, top.u, True, how_known(top))
        name = str(entry.get("id") or "car")
        found.append(Obstacle(name, float(entry["x_from"]), float(entry["x_to"]), depth, not _crosses(entry, y)))
    return tuple(found)
