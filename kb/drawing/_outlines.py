"""Outlines of the kinds of part that have one of their own: plain shapes in metres, and the dimensions between them.

A length that nobody recorded is drawn at a usual size for show, dashed. Shapes are schematic: what no
feature says (how thick a casting is, where a tube bends) is drawn for show.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

from kb.measure import Dimension
from kb.records import KINDS
from kb.records.part import Part

Point = tuple[float, float]


class Shape(NamedTuple):
    """A chain of points, or a circle round the only one; x to the right, y down, m. sure: no edge of it is guessed."""

    points: Sequence[Point]
    radius: float = 0.0
    sure: bool = True
    closed: bool = True
    fill: str = "none"
    width: float = 1.6


class Gap(NamedTuple):
    """A dimension: the feature, the side of the picture where it stands, its two ends along that side, and where its
    extension lines begin across it."""

    name: str
    side: str  # right and left: ends are heights; top and bottom: ends are places from left to right
    first: float
    second: float
    start: float = 0.0


class Outline(NamedTuple):
    shapes: list[Shape]
    gaps: list[Gap]
    names: list[tuple[float, float, str]]
    view: str
    axes: list[tuple[Point, Point]]


class Sizes:
    """The lengths of one part, with a stand-in for those that nobody recorded."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self._features = KINDS[part.kind].features

    def known(self, *names: str) -> bool:
        return all(isinstance(self.part.facts.get(name), Dimension) for name in names)

    def of(self, name: str, usual: float) -> float:
        """The value in m; `usual` (mm) where it is not known."""
        value = self.part.facts.get(name)
        return value.value if isinstance(value, Dimension) else usual * 1e-3

    def count(self, name: str, usual: int, most: int = 200) -> int:
        value = self.part.facts.get(name)
        return min(value, most) if isinstance(value, int) and not isinstance(value, bool) and value > 0 else usual

    def entries(self, name: str) -> Sequence[Mapping[str, Any]]:
        found: Sequence[Mapping[str, Any]] = self.part.facts.get(name) or ()
        return found


def box(left: float, top: float, right: float, low: float, *, sure: bool = True, **more: Any) -> Shape:
    return Shape([(left, top), (right, top), (right, low), (left, low)], sure=sure, **more)


def _pan(sizes: Sizes) -> Outline:
    sump, shelf = sizes.of("sump_depth", 180), sizes.of("shelf_depth", 70)
    zones = [
        (zone["x_from"], zone["x_to"], zone["depth"].value)
        for zone in sorted(sizes.entries("floor"), key=lambda each: each.get("x_from", 0.0))
        if {"x_from", "x_to", "depth"} <= set(zone)
    ]
    sure = bool(zones)
    if not zones:
        zones = [(0.0, 0.2, shelf), (0.2, 0.45, sump)]
        sure = sizes.known("sump_depth", "shelf_depth")
    wall = [(zones[0][0], 0.0)]
    for left, right, depth in zones:
        wall += [(left, depth), (right, depth)]
    wall.append((zones[-1][1], 0.0))
    rim, thick = 0.015, sizes.of("flange_thickness", 5)
    ends = wall[0][0], wall[-1][0]
    flanges = [
        box(ends[0] - rim, 0.0, ends[0], thick, sure=sizes.known("flange_thickness"), fill="metal"),
        box(ends[1], 0.0, ends[1] + rim, thick, sure=sizes.known("flange_thickness"), fill="metal"),
    ]
    gaps = [
        Gap("sump_depth", "right", 0.0, sump, ends[1]),
        Gap("shelf_depth", "left", 0.0, shelf, ends[0]),
        Gap("flange_thickness", "left", 0.0, thick, ends[0] - rim),
    ]
    view = "Section along the engine, front at the left"
    return Outline([Shape(wall, sure=sure, closed=False, width=2.2), *flanges], gaps, [], view, [])


def _block(sizes: Sizes) -> Outline:
    crank, arch = sizes.of("crank_drop", -60), sizes.of("front_arch_radius", 55)
    seat = sizes.of("sensor_seat_radius", 90)
    wide = max(0.16, 1.3 * arch, seat)
    body = [(-wide, 0.0), (-wide, crank - 0.06), (-0.9 * wide, crank - 0.2), (-0.3 * wide, crank - 0.12)]
    body += [(-x, y) for x, y in reversed(body)]
    turn = [math.radians(each) for each in range(0, 181, 6)]
    curve = [(arch * math.cos(each), crank + arch * math.sin(each)) for each in turn]
    shapes = [
        Shape(body, closed=False),
        Shape([(-wide, 0.0), (wide, 0.0)], closed=False, width=2.2),
        Shape(curve, sure=sizes.known("crank_drop", "front_arch_radius"), closed=False),
        Shape([(0.0, crank)], 0.03, sure=sizes.known("crank_drop")),
        box(seat, crank - 0.012, seat + 0.01, crank + 0.012, sure=sizes.known("sensor_seat_radius")),
    ]
    gaps = [
        Gap("crank_drop", "right", crank, 0.0, 0.03),
        Gap("sensor_seat_radius", "top", 0.0, seat, crank),
        Gap("front_arch_radius", "bottom", 0.0, arch, crank),
    ]
    axes = [((-0.05, crank), (0.05, crank)), ((0.0, crank - 0.05), (0.0, crank + 0.05))]
    return Outline(shapes, gaps, [(-0.6 * wide, -0.002, "pan rail")], "Front view; the pan rail is the foot", axes)


def _pickup(sizes: Sizes) -> Outline:
    hang, foot = sizes.of("hang", 180), sizes.of("foot_length", 70)
    bore, top = sizes.of("tube_bore", 19), sizes.of("top_depth", 10)
    half, x = bore / 2, 0.16
    turn = max(top + bore, 0.0) + 0.02
    skirt = [
        (x - foot / 2, hang), (x - foot / 2, hang - 0.006), (x - half, hang - 0.018), (x + half, hang - 0.018),
        (x + foot / 2, hang - 0.006), (x + foot / 2, hang),
    ]  # fmt: skip
    tube = [
        (0.0, top), (x + half - 0.015, top), (x + half, top + 0.015), (x + half, hang - 0.018),
        (x - half, hang - 0.018), (x - half, turn), (x - half - 0.008, top + bore), (0.0, top + bore),
    ]  # fmt: skip
    shapes = [
        Shape([(-0.03, 0.0), (x + 0.09, 0.0)], closed=False, width=0.8),
        Shape(tube, sure=sizes.known("hang", "top_depth", "tube_bore")),
        Shape(skirt, sure=sizes.known("hang", "foot_length")),
        box(-0.012, top - 0.008, 0.0, top + bore + 0.008, fill="metal"),
    ]
    gaps = [
        Gap("hang", "right", 0.0, hang, x + foot / 2),
        Gap("top_depth", "left", 0.0, top, 0.0),
        Gap("tube_bore", "left", top, top + bore, -0.012),
        Gap("foot_length", "bottom", x - foot / 2, x + foot / 2, hang),
    ]
    return Outline(shapes, gaps, [], "Side view below the plane of the block's rail", [])


def _pan_gasket(sizes: Sizes) -> Outline:
    wide, free = sizes.of("seal_width", 8), sizes.of("free_thickness", 3)
    stop, laid = sizes.of("stop_thickness", 1.6), sizes.of("installed_thickness", 2)
    right = 2.4 * wide
    shapes = [
        box(0.0, -free, wide, 0.0, sure=sizes.known("free_thickness", "seal_width"), fill="soft"),
        box(1.4 * wide, -laid, right, 0.0, sure=sizes.known("installed_thickness", "seal_width"), fill="soft"),
        Shape([(1.4 * wide, -stop), (right, -stop)], sure=sizes.known("stop_thickness"), closed=False),
    ]
    gaps = [
        Gap("free_thickness", "left", -free, 0.0, 0.0),
        Gap("installed_thickness", "right", -laid, 0.0, right),
        Gap("stop_thickness", "right", -stop, 0.0, right),
        Gap("seal_width", "bottom", 0.0, wide, 0.0),
    ]
    names = [(0.5 * wide, -max(free, laid), "free"), (1.9 * wide, -max(free, laid), "clamped")]
    return Outline(shapes, gaps, names, "Section, free at the left and clamped at the right", [])


def _trigger_wheel(sizes: Sizes) -> Outline:
    radius = sizes.of("radius", 80)
    high = 0.07 * radius
    marks, pitch = _teeth(sizes.part)
    if marks:
        rim: list[Point] = []
        for angle in marks:
            for turn, out in ((0.0, radius - high), (0.0, radius), (pitch / 2, radius), (pitch / 2, radius - high)):
                a = math.radians(angle + turn - 90)
                rim.append((out * math.cos(a), out * math.sin(a)))
        edge = Shape(rim, sure=sizes.known("radius"))
    else:
        edge = Shape([(0.0, 0.0)], radius, sure=False)
    shapes = [edge, Shape([(0.0, 0.0)], 0.25 * radius, width=1.0)]
    names = [] if marks else [(0.0, -0.5 * radius, "teeth: ?")]
    axes = [((-1.1 * radius, 0.0), (1.1 * radius, 0.0)), ((0.0, -1.1 * radius), (0.0, 1.1 * radius))]
    return Outline(shapes, [Gap("radius", "right", -radius, 0.0, 0.0)], names, "Seen from the front", axes)


def _teeth(part: Part) -> tuple[list[float], float]:
    """(angle of each tooth, pitch) in degrees; none where no pattern is known."""
    from kb.errors import NotationFault
    from kb.standards.patterns import parse_pattern

    for code in (part.facts.get("teeth"), part.facts.get("pattern")):
        try:
            pattern = parse_pattern(code) if isinstance(code, str) else None
        except NotationFault:
            pattern = None
        if pattern is not None and len(pattern.intervals) <= 400:
            marks, angle = [], 0.0
            for interval in pattern.intervals:
                marks.append(angle)
                angle += interval
            return marks, pattern.pitch
    return [], 0.0


def _damper(sizes: Sizes) -> Outline:
    hub, back = sizes.of("hub_length", 60), sizes.of("flange_setback", 15)
    out, inner = 0.08, 0.024
    sure = sizes.known("hub_length", "flange_setback")
    shapes = [
        box(0.0, -inner, hub, inner, sure=sizes.known("hub_length"), fill="metal"),
        *(
            Shape([(-back + hub - 0.036, a), (hub - back, a), (hub - back, b), (-back + hub - 0.036, b)], sure=sure)
            for a, b in ((-out, -inner), (inner, out))
        ),
    ]
    gaps = [
        Gap("hub_length", "bottom", 0.0, hub, inner),
        Gap("flange_setback", "top", hub - back, hub, -out),
    ]
    return Outline(
        shapes, gaps, [], "From the side, front of the engine at the left", [((-0.01, 0.0), (hub + 0.01, 0.0))]
    )


def _drive_plate(sizes: Sizes) -> Outline:
    pads, crank = sizes.of("pad_circle", 280), sizes.of("circle", 90)
    bore, teeth = sizes.of("register_bore", 45), sizes.count("ring_teeth", 0, 400)
    ring = sizes.of("ring_module", 2.5) * (teeth + 2) / 2 if teeth else max(0.6 * pads, 0.15)
    holes = [
        *_ring(pads / 2, sizes.count("pads", 3, 12), sizes.of("pad_hole", 11) / 2, sizes.known("pad_circle")),
        *_ring(crank / 2, sizes.count("bolts", 6, 16), sizes.of("bolt_hole", 11) / 2, sizes.known("circle")),
    ]
    shapes = [
        Shape([(0.0, 0.0)], ring, sure=bool(teeth) and sizes.known("ring_module")),
        Shape([(0.0, 0.0)], bore / 2, sure=sizes.known("register_bore")),
        *holes,
    ]
    gaps = [
        Gap("pad_circle", "bottom", -pads / 2, pads / 2, 0.0),
        Gap("circle", "top", -crank / 2, crank / 2, 0.0),
        Gap("register_bore", "right", -bore / 2, bore / 2, 0.0),
    ]
    axes = [((-1.05 * ring, 0.0), (1.05 * ring, 0.0)), ((0.0, -1.05 * ring), (0.0, 1.05 * ring))]
    return Outline(shapes, gaps, [], "Seen along the crank", axes)


def _ring(radius: float, count: int, hole: float, sure: bool) -> list[Shape]:
    """Holes evenly on a circle, the first one a little off the axis so that no line runs through it."""
    turns = [2 * math.pi * (at + 0.5) / count for at in range(count)]
    return [Shape([(radius * math.sin(each), -radius * math.cos(each))], hole, sure=sure, width=1.0) for each in turns]


def _converter(sizes: Sizes) -> Outline:
    high, nose = sizes.of("height", 180), sizes.of("nose_length", 25)
    thin, hub, pads = sizes.of("nose_diameter", 45), sizes.of("hub_diameter", 47), sizes.of("pad_circle", 270)
    out, end = 0.53 * pads, 0.68 * high
    body = [
        (0.0, -out), (0.35 * end, -out), (0.8 * end, -0.7 * out), (end, -hub / 2), (end, hub / 2),
        (0.8 * end, 0.7 * out), (0.35 * end, out), (0.0, out),
    ]  # fmt: skip
    shapes = [
        Shape(body, sure=sizes.known("pad_circle", "height")),
        box(end, -hub / 2, high, hub / 2, sure=sizes.known("height", "hub_diameter")),
        box(-nose, -thin / 2, 0.0, thin / 2, sure=sizes.known("nose_length", "nose_diameter")),
        *(box(-0.004, at - 0.012, 0.0, at + 0.012, fill="metal") for at in (-pads / 2, pads / 2)),
    ]
    gaps = [
        Gap("nose_diameter", "left", -thin / 2, thin / 2, -nose),
        Gap("pad_circle", "left", -pads / 2, pads / 2, -0.004),
        Gap("hub_diameter", "right", -hub / 2, hub / 2, high),
        Gap("height", "bottom", 0.0, high, 0.0),
        Gap("nose_length", "top", -nose, 0.0, -thin / 2),
    ]
    axes = [((-nose - 0.01, 0.0), (high + 0.01, 0.0))]
    return Outline(shapes, gaps, [], "From the side, front of the engine at the left", axes)


def _coolant_hose(sizes: Sizes) -> Outline:
    engine, radiator = sizes.of("engine_bore", 38), sizes.of("radiator_bore", 38)
    wall, long = 0.005, 0.16
    a, b = engine / 2, radiator / 2
    outer = [
        (0.0, -a - wall), (long - 0.03, -a - wall), (long + b + wall, 0.03), (long + b + wall, long),
        (long - b - wall, long), (long - b - wall, a + 0.05), (long - 0.06, a + wall), (0.0, a + wall),
    ]  # fmt: skip
    ends = [
        Shape([(0.0, -a), (0.035, -a), (0.035, a), (0.0, a)], sure=sizes.known("engine_bore"), width=1.0),
        Shape(
            [(long - b, long), (long - b, long - 0.035), (long + b, long - 0.035), (long + b, long)],
            sure=sizes.known("radiator_bore"), width=1.0,
        ),
    ]  # fmt: skip
    gaps = [Gap("engine_bore", "left", -a, a, 0.0), Gap("radiator_bore", "bottom", long - b, long + b, long)]
    sure = sizes.known("engine_bore", "radiator_bore")
    return Outline([Shape(outer, sure=sure), *ends], gaps, [], "Both ends; how it bends is drawn for show", [])


def _fan(sizes: Sizes) -> Outline:
    core_w, core_h = sizes.of("core_width", 550), sizes.of("core_height", 420)
    wide, high = sizes.of("cover_width", 400), sizes.of("cover_height", 380)
    many = sizes.count("fans", 1, 4)
    shapes = [box(-core_w / 2, -core_h / 2, core_w / 2, core_h / 2, sure=sizes.known("core_width", "core_height"))]
    left = -many * wide / 2
    for at in range(many):
        x = left + (at + 0.5) * wide
        sure = sizes.known("cover_width", "cover_height")
        round_ = 0.46 * min(wide, high)
        if sizes.part.facts.get("shape") == "ring":
            shapes.append(Shape([(x, 0.0)], min(wide, high) / 2, sure=sure))
        else:
            shapes.append(box(x - wide / 2, -high / 2, x + wide / 2, high / 2, sure=sure))
        shapes += [Shape([(x, 0.0)], round_, sure=sure, width=1.0), Shape([(x, 0.0)], 0.2 * round_, width=1.0)]
        for blade in range(5):
            turn = 2 * math.pi * blade / 5
            ends = [(0.2, 0.0), (0.95, -0.12), (0.95, 0.3), (0.2, 0.3)]
            shapes.append(
                Shape([(x + r * round_ * math.sin(turn + w), -r * round_ * math.cos(turn + w)) for r, w in ends],
                      width=0.8)
            )  # fmt: skip
    gaps = [
        Gap("core_width", "bottom", -core_w / 2, core_w / 2, core_h / 2),
        Gap("core_height", "left", -core_h / 2, core_h / 2, -core_w / 2),
        Gap("cover_width", "top", left, left + wide, -high / 2),
        Gap("cover_height", "right", -high / 2, high / 2, left + many * wide),
    ]
    return Outline(shapes, gaps, [], "Seen from the engine, on the core", [])


def _position_sensor(sizes: Sizes) -> Outline:
    nose, shim = sizes.of("nose_length", 30), sizes.of("spacer", 1)
    half = 0.009
    shapes = [
        box(-0.012, -0.03, 0.012, -shim - 0.004),
        box(-0.022, -shim - 0.004, 0.03, -shim, fill="other_metal"),
        box(-0.022, -shim, 0.03, 0.0, sure=sizes.known("spacer"), fill="metal"),
        box(-half, -shim, half, nose - shim, sure=sizes.known("nose_length")),
        Shape([(-0.04, 0.0), (0.045, 0.0)], closed=False, width=0.8),
    ]
    gaps = [
        Gap("nose_length", "right", -shim, nose - shim, half),
        Gap("spacer", "left", -shim, 0.0, -0.022),
    ]
    return Outline(shapes, gaps, [(-0.032, 0.0, "seat")], "Side view on its seat", [])


def _belt_layout(sizes: Sizes) -> Outline:
    shapes, names = [], []
    for entry in sizes.entries("pulleys"):
        if all(isinstance(entry.get(name), Dimension) for name in ("x", "y", "diameter")):
            x, y, radius = entry["x"].value, -entry["y"].value, entry["diameter"].value / 2
            shapes.append(Shape([(x, y)], radius))
            names.append((x, y, str(entry["id"])))
    return Outline(shapes, [], names, "Pulleys seen from the front of the engine", [])


OUTLINES: dict[str, Callable[[Sizes], Outline]] = {
    "belt_layout": _belt_layout,
    "block": _block,
    "converter": _converter,
    "coolant_hose": _coolant_hose,
    "damper": _damper,
    "drive_plate": _drive_plate,
    "fan": _fan,
    "pan": _pan,
    "pan_gasket": _pan_gasket,
    "pickup": _pickup,
    "position_sensor": _position_sensor,
    "trigger_wheel": _trigger_wheel,
}
