"""The belt drive to scale: seen from the front of the engine, and the planes of the pulleys along the crank's axis.

Part references instead of names, and centres in a table of coordinates (ISO 129): names would cover the belt. What
nobody recorded is not drawn where it would have to be invented: it is dashed or left out, and named below.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

from kb.build import Build, applies
from kb.chance import Settings
from kb.drawing._belt_scene import PIECES, Layout, Pulley, layout_of
from kb.drawing._details import scale_bar
from kb.drawing._gauge import READ, Bound, Gauge, amount, draw_gauge, gauge_of, said
from kb.drawing._svg import AXIS, MOVING, NOT_KNOWN, ROW, WIDTH, Drawing, shorten
from kb.drawing._values import UNKNOWN, K, plain
from kb.judge import judge
from kb.measure import Dimension
from kb.rules import load_rules
from kb.unit_show import show_unit

LEFT, ROOM, TALL = 12.0, WIDTH - 24.0, 300.0  # px: the front view's box
_AIR = 0.02  # m round the outermost pulley
_UNSIZED = 9.0  # px: radius of the dashed ring where only a centre is known
_HATCH = {"bracket": "metal", "shim": "soft", "hub": "other_metal", "offset": "none"}
_WORD = {"mount_face": "mounting face", "offset": "seat to the belt's middle"}
At = Callable[[float, float], tuple[float, float]]
ARM, ALIGN = "belt-length-in-tensioner-range", "pulley-plane-alignment"


def belt_drawing(
    build: Build, settings: Settings | None = None, *, system: str = "mm", prefix: str = "belt", name: str = ""
) -> str:
    """SVG of the layout in the role `belt_layout`: front view, planes, offset of each span, place of the arm.

    name: which of several belts. settings: the decision rule for the verdict on the arm.
    """
    layout = layout_of(build)
    drawing = Drawing(prefix, f"Belt layout{f', {name}' if name else ''}: {build.parts['belt_layout'].name}")
    unit = show_unit("length", system)[0]
    drawing.words(LEFT, 18, "Belt, seen from the front of the engine", bold=True, size=13)
    y = drawing.paragraph(LEFT, 34, f"Centres as right / up from the crank's, in {unit}", ROOM)
    y = _front(drawing, layout, y, system)
    told = [_told(at, each, system) for at, each in enumerate(layout.pulleys, start=1)]
    for lines in told:
        drawing.words(LEFT, y, shorten(lines[0], 52), bold=True)
        y += ROW
        for line in lines[1:]:
            wrong = line.startswith("\N{MULTIPLICATION SIGN}")
            y = drawing.paragraph(LEFT + 14, y, line, ROOM - 14, colour="bad" if wrong else "ink")
    notes = _notes(layout)
    for note in notes:
        y = drawing.paragraph(LEFT, y + 2, note, ROOM, halo=False)
    gauges = _arm(build, layout, settings or Settings())
    for gauge in gauges:
        y = draw_gauge(drawing, y + 8, gauge, system)
    y, planes = _planes(drawing, layout, y + 18, system)
    spans, all_together = _spans(build, layout, settings or Settings())
    if all_together:
        y = drawing.paragraph(LEFT, y + 6, all_together, ROOM, bold=True)
    for gauge in spans:
        y = draw_gauge(drawing, y + 4, gauge, system)
    if spans or gauges:
        y = drawing.paragraph(LEFT, y + 2, READ, ROOM, halo=False, colour="line")
    words = [". ".join(lines) + "." for lines in told]
    return drawing.render(
        y, " ".join([*words, *notes, *planes, all_together, *(said(each, system) for each in (*gauges, *spans))])
    )


# -- front view ------------------------------------------------------------------------------------------------------


def _front(drawing: Drawing, layout: Layout, top: float, system: str) -> float:
    """Pulleys, belt and arm at one scale; returns where the words go on."""
    discs = [
        (each.x, each.y, each.diameter.value / 2 if each.diameter is not None else 0.0)
        for each in layout.pulleys
        if each.x is not None and each.y is not None
    ]
    for each in layout.pulleys:
        radius = each.diameter.value / 2 if each.diameter is not None else 0.0
        if each.swing is not None:
            discs += [(*_swung(each.swing, angle), radius) for angle in (each.swing["free"], each.swing["wound"])]
    if not discs:
        drawing.words(LEFT, top + 14, "No pulley's centre is known: measure.")
        return top + 2 * ROW + 4
    left, right = min(x - r for x, _, r in discs) - _AIR, max(x + r for x, _, r in discs) + _AIR
    low, high = min(y - r for _, y, r in discs) - _AIR, max(y + r for _, y, r in discs) + _AIR
    scale = min(ROOM / (right - left), TALL / (high - low))
    start = LEFT + (ROOM - (right - left) * scale) / 2

    def at(x: float, y: float) -> tuple[float, float]:
        return start + (x - left) * scale, top + (high - y) * scale

    drawing.group(data_view="front", data_px_per_mm=f"{scale * 1e-3:.6f}")
    placed = [(each, at(each.x, each.y)) for each in layout.pulleys if each.x is not None and each.y is not None]
    for each in layout.pulleys:
        if each.swing is not None:
            _arm_way(drawing, each, each.swing, scale, at)
    for pulley, (x, y) in placed:
        size = pulley.diameter
        radius = size.value / 2 * scale if size is not None else _UNSIZED
        dash = "" if size is not None else NOT_KNOWN
        drawing.circle(x, y, radius, "ink", "paper", 1.6, dash, data_pulley=pulley.id)
        for dx, dy in ((radius + 4, 0.0), (0.0, radius + 4)):
            drawing.line(x - dx, y - dy, x + dx, y + dy, "line", 0.6, AXIS)
    if layout.way is not None:
        dash = "" if layout.way.sure else NOT_KNOWN
        drawing.lines([at(*point) for point in layout.way.points], "accent", 2.6, dash, closed=True, data_belt="way")
        if layout.way.along is not None:
            x1, y1, x2, y2 = layout.way.first if layout.way.along else (*layout.way.first[2:], *layout.way.first[:2])
            (ax, ay), (bx, by) = at(x1, y1), at(x2, y2)
            turn = math.atan2(by - ay, bx - ax)
            drawing.arrow((ax + bx) / 2 + 5 * math.cos(turn), (ay + by) / 2 + 5 * math.sin(turn), turn, "accent", 11)
    elif len(placed) > 2:
        drawing.lines([place for _, place in placed], "line", 1.2, NOT_KNOWN, closed=True, data_belt="order")
    numbers = {each.id: at for at, each in enumerate(layout.pulleys, start=1)}
    for pulley, (x, y) in placed:
        radius = pulley.diameter.value / 2 * scale if pulley.diameter is not None else _UNSIZED
        if pulley.diameter is not None:
            _turn(drawing, x, y, max(min(radius - 5, 0.72 * radius), 9.0), pulley.way)
        drawing.words(x, y + 4, numbers[pulley.id], "middle", bold=True)
    drawing.close()
    y = top + (high - low) * scale + 6
    scale_bar(drawing, LEFT, y, scale, system)
    return y + 2 * ROW


def _swung(swing: Mapping[str, float], angle: float) -> tuple[float, float]:
    return (
        swing["pivot_x"] + swing["arm"] * math.cos(angle),
        swing["pivot_y"] + swing["arm"] * math.sin(angle),
    )


def _arm_way(drawing: Drawing, pulley: Pulley, swing: Mapping[str, float], scale: float, at: At) -> None:
    """Pivot, arm and the way of the pulley's centre from stop to stop; the arrow points as the spring pushes."""
    free, wound = swing["free"], swing["wound"]
    way = [at(*_swung(swing, wound + (free - wound) * step / 24)) for step in range(25)]
    radius = pulley.diameter.value / 2 * scale if pulley.diameter is not None else _UNSIZED
    for x, y in (way[0], way[-1]):
        drawing.circle(x, y, radius, "line", "none", 0.8, MOVING)
    drawing.lines(way, "line", 0.9, MOVING, data_travel=pulley.id)
    (ax, ay), (bx, by) = way[-2], way[-1]
    drawing.arrow(bx, by, math.atan2(by - ay, bx - ax), "line", 7)
    px, py = at(swing["pivot_x"], swing["pivot_y"])
    if pulley.x is not None and pulley.y is not None:
        drawing.line(px, py, *at(pulley.x, pulley.y), "ink", 2.2, data_arm=pulley.id)
    drawing.circle(px, py, 3.5, "ink", "paper", 1.4)


def _turn(drawing: Drawing, x: float, y: float, radius: float, way: str) -> None:
    """An arrow round the centre, over the number: the way that the pulley turns."""
    if not way:
        return
    ends = (-155.0, -25.0) if way == "clockwise" else (-25.0, -155.0)
    angles = [math.radians(ends[0] + (ends[1] - ends[0]) * step / 16) for step in range(17)]
    points = [(x + radius * math.cos(each), y + radius * math.sin(each)) for each in angles]
    drawing.lines(points, "ink", 1.0, data_way=way)
    tip = points[-1]
    lean = 0.35 if way == "clockwise" else -0.35  # the head lies along the chord of the arc's end
    drawing.arrow(*tip, angles[-1] + (math.pi / 2 if way == "clockwise" else -math.pi / 2) - lean, "ink", 7)


# -- words -----------------------------------------------------------------------------------------------------------


def _dimension(value: Dimension | None, system: str, quantity: str = "length") -> str:
    if value is None:
        return UNKNOWN
    return amount(Gauge("", quantity, value.value, value.u, ()), system)


def _told(number: int, pulley: Pulley, system: str) -> list[str]:
    """What is known of one pulley, in lines."""
    lines = [f"{number}  {pulley.id}"]
    size = f"diameter {_dimension(pulley.diameter, system)}"
    if pulley.x is not None and pulley.y is not None:
        centre = f"centre {plain(pulley.x, 'length', system)} / {plain(pulley.y, 'length', system)}"
    else:
        centre = f"centre {UNKNOWN}"
    lines.append(f"{size}; {centre}")
    side = {"rib": "on the belt's ribs", "back": "on the belt's back"}.get(pulley.side, "side of the belt not known")
    way = f"turns {pulley.way}" if pulley.way else "way of turning not known"
    lines.append(f"{side}, {way}")
    if pulley.wrap is not None and pulley.usual is not None:
        short = "" if pulley.wrap >= pulley.usual else "less than "
        words = f"belt round {math.degrees(pulley.wrap):.0f}\N{DEGREE SIGN}, {short}usual least"
        lines.append(f"{words} {math.degrees(pulley.usual):.0f}\N{DEGREE SIGN}")
    if pulley.way and pulley.wants not in ("", "either", pulley.way):
        lines.append(f"\N{MULTIPLICATION SIGN} must turn {pulley.wants}")
    return lines


def _notes(layout: Layout) -> list[str]:
    notes = []
    if layout.trouble:
        notes.append(f"The belt's way cannot be drawn: {layout.trouble}. Dashed: the order only.")
    notes += [f"Dashed belt: {each}." for each in layout.assumed]
    if any(each.swing is not None for each in layout.pulleys):
        notes.append("Long dash and two dots: the tensioner at its stops; the arrow points as the spring pushes.")
    if layout.pulleys:
        notes.append(load_rules()[ALIGN].caution)
    return notes


# -- planes ----------------------------------------------------------------------------------------------------------


def _planes(drawing: Drawing, layout: Layout, y: float, system: str) -> tuple[float, list[str]]:
    """A row for each pulley: the pieces between the block's front face and the middle of its belt, end to end."""
    if not layout.pulleys:
        return y, []
    drawing.words(LEFT, y, "Planes along the crank's axis", bold=True, size=13)
    unit = show_unit("length", system)[0]
    y = drawing.paragraph(LEFT, y + 16, f"{unit} forward of the block's front face, to the middle of the belt", ROOM)
    ends = [0.0]
    for each in layout.pulleys:
        at = 0.0
        for piece in each.pieces.values():
            if piece is None:
                break
            at += piece.value
            ends.append(at)
    low, high = min(ends), max(ends)
    scale = (ROOM - 20) / max(high - low, 0.01)

    def x(z: float) -> float:
        return LEFT + 10 + (z - low) * scale

    top = y - 6
    row = 40.0
    foot = top + row * len(layout.pulleys)
    drawing.group(data_view="planes", data_px_per_mm=f"{scale * 1e-3:.6f}")
    drawing.line(x(0.0), top, x(0.0), foot, "ink", 1.6, data_face="block")
    crank = next((each.plane for each in layout.pulleys if each.drives == "crank"), None)
    if crank is not None:
        drawing.line(x(crank.value), top, x(crank.value), foot, "line", 0.8, AXIS, data_plane="crank")
    lines = []
    for number, each in enumerate(layout.pulleys, start=1):
        known = _plane_words(each, system) if len(each.lacks) < 3 else UNKNOWN
        words = f"{number}  {shorten(each.id, 16)}: {known}"
        lines.append(f"Plane of {each.id}: {_plane_words(each, system)}.")
        beside = x(0.0) + 6
        drawing.words(beside if beside < WIDTH - 8 - 6.5 * len(words) else LEFT, top + 14, words)
        _chain(drawing, each, x, top + 19)
        top += row
    drawing.close()
    y = foot + 14
    drawing.words(min(x(0.0), WIDTH - 44), y, "block's face", "middle" if x(0.0) > 48 else "start")
    if crank is not None and x(crank.value) - x(0.0) > 120:
        drawing.words(min(x(crank.value), WIDTH - 46), y, "crank's plane", "middle")
    y += ROW + 2
    y = _key(drawing, y)
    if high > low:
        scale_bar(drawing, LEFT, y - 4, scale, system)
        y += ROW
    return y + 6, lines


def _plane_words(pulley: Pulley, system: str) -> str:
    if pulley.plane is not None:
        return _dimension(pulley.plane, system)
    lacks = pulley.lacks
    if len(lacks) == len(PIECES):
        return UNKNOWN
    return f"not known: measure {', '.join(_WORD.get(each, each) for each in lacks)}"


def _chain(drawing: Drawing, pulley: Pulley, x: Callable[[float], float], y: float) -> None:
    """Mounting face as a thin line with an arrow, then bracket, shims, hub as cut pieces, then the belt's middle."""
    at = 0.0
    for name, piece in pulley.pieces.items():
        if piece is None:
            drawing.line(x(at), y + 5, min(x(at) + 40, WIDTH - 14), y + 5, "open", 1.2, NOT_KNOWN, data_unknown=name)
            drawing.words(min(x(at) + 44, WIDTH - 22), y + 9, "?", bold=True, colour="open")
            return
        to = at + piece.value
        left, right = sorted((x(at), x(to)))
        if name == "mount_face":  # below the cut pieces, which may lie over the same stretch
            drawing.line(left, y + 14, right, y + 14, "ink", 0.9, data_piece=name)
            drawing.line(x(to), y, x(to), y + 17, "line", 0.6)
            if right - left > 8:
                drawing.arrow(x(to), y + 14, 0.0 if to > at else math.pi, size=5)
        elif name == "offset":
            drawing.line(left, y + 5, right, y + 5, "ink", 0.9, data_piece=name)
        elif right - left > 0.05:
            drawing.rect(left, y, right - left, 10, "ink", _HATCH[name], 0.9, data_piece=name)
        at = to
    plane = pulley.plane
    assert plane is not None
    half = max(K * plane.u * (x(1.0) - x(0.0)), 0.5)
    drawing.rect(x(at) - half, y - 1, 2 * half, 12, "accent", "band", 0.6, data_band=f"{K * plane.u * 1e3:.4f}")
    drawing.line(x(at), y - 3, x(at), y + 13, "accent", 2.4, data_plane=pulley.id)


def _key(drawing: Drawing, y: float) -> float:
    """What the hatches stand for."""
    left = LEFT
    for name in ("bracket", "shim", "hub"):
        drawing.rect(left, y - 9, 18, 10, "ink", _HATCH[name], 0.9)
        drawing.words(left + 23, y, name)
        left += 84
    y += ROW
    drawing.line(LEFT, y - 4, LEFT + 18, y - 4, "ink", 0.9)
    y = drawing.paragraph(LEFT + 23, y, "mounting face, and pulley's seat to belt", ROOM - 23)
    return y + 4


# -- limits ----------------------------------------------------------------------------------------------------------


def _spans(build: Build, layout: Layout, settings: Settings) -> tuple[list[Gauge], str]:
    """How far each next pulley stands ahead, against what the limits of the angle allow over that free span.

    Returns the words for all of them too.
    """
    if layout.way is None:
        return [], ""
    rule = load_rules()[ALIGN]
    found = []
    for at, span in enumerate(layout.way.spans):
        here, there = layout.pulleys[at], layout.pulleys[(at + 1) % len(layout.pulleys)]
        name = f"{at + 1} to {(at + 1) % len(layout.pulleys) + 1}, second ahead by"
        if here.plane is None or there.plane is None:
            lacks = " and ".join(each.id for each in (here, there) if each.plane is None)
            found.append(Gauge(name, "length", None, 0.0, (), missing=f"the plane of {lacks}"))
            continue
        bounds = []
        for limit in rule.limits:
            own = build.own_limits.get((rule.id, limit.name))
            angle = float(own[0] if own is not None else limit.bound)  # type: ignore[arg-type]
            firm = own is not None or limit.may_condemn
            bounds.append(Bound(span * math.tan(angle), limit.side == "least", firm))
        step = round(there.plane.value - here.plane.value, 12)
        found.append(Gauge(name, "length", step, math.hypot(here.plane.u, there.plane.u), tuple(bounds)))
    words = "Offset over each free span"
    if not applies(rule, build):
        words += f"; all together: {judge(rule, build, settings).verdict}"
    return found, f"{words}."


def _arm(build: Build, layout: Layout, settings: Settings) -> list[Gauge]:
    rule = load_rules()[ARM]
    if layout.way is None or applies(rule, build):
        return []
    return [gauge_of(judge(rule, build, settings), "Tensioner's arm, free stop 0 %, wound stop 100 %")]
