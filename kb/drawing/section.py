"""Section through block rail, gasket, tray, pan, pickup and floor, seen from the left with the front at the left.

One scale for both directions; what is too thin to see there stands enlarged in two details, each true to scale too.
Depths are given from the rail plane as superimposed running dimensions (ISO 129): one origin, one line, figures at
the ends. What nobody recorded is dashed at the middle of its plausible range and labelled "not known: measure".
"""

from __future__ import annotations

from kb.build import Build
from kb.drawing._details import band, gap_detail, joint_detail, scale_bar
from kb.drawing._running import rows, running
from kb.drawing._scene import Floor, Scene, scene_of
from kb.drawing._svg import LETTER, MOVING, NOT_KNOWN, ROW, TEXT, WIDTH, Drawing, shorten
from kb.drawing._values import SPREAD_SAYS, sentence
from kb.drawing._view import LEFT, RIM, ROOM, View, foot_half, foot_place, view_of
from kb.unit_show import show_unit

_PUMP = 34.0  # px: width of the box that stands for the pump
_FOOT = (0.005, 0.016)  # m: heights drawn for the foot's skirt and for the whole foot


def sump_section(build: Build, *, system: str = "mm", prefix: str = "s") -> str:
    """SVG of the section through the build's sump; what an empty role would fill is left out.

    system: "mm", "in" or "in64" as in `unit_show.show`. prefix: keeps the ids of several pictures on a page apart.
    """
    scene = scene_of(build)
    drawing = Drawing(prefix, f"Section through the sump of {build.name or build.id}")
    unit = show_unit("length", system)[0]
    drawing.words(LEFT, 18, "Section at the pickup, front at the left", bold=True, size=13)
    drawing.words(LEFT, 34, f"Depths in {'inches' if unit == 'in' else unit} below the rail, pan bolted up")
    view, bottom = view_of(scene, 50.0)
    slack = (ROW * len(rows(scene, view, system)) - (bottom - view.top)) / 2
    view, bottom = view_of(scene, 50.0 + min(max(slack, 0.0), 40.0))
    drawing.group(data_view="section", data_px_per_mm=f"{view.scale * 1e-3:.6f}")
    drawing.clip(LEFT - 4, view.top - 2, ROOM + 8, bottom - view.top + 4)
    names = _car(drawing, scene, view, bottom)
    _joint(drawing, scene, view)
    _pan(drawing, scene, view)
    _levels(drawing, scene, view)
    _pickup(drawing, scene, view)
    drawing.close()
    _letters(drawing, scene, view)
    for x, y, name, _ in names:
        drawing.words(x, y, name, "middle")
    low = running(drawing, scene, view, system)
    drawing.close()
    y = max([bottom, *(foot for _, foot, _, _ in names)]) + ROW
    scale_bar(drawing, LEFT, y, view.scale, system)
    y = max(y, low) + 2 * ROW
    y = joint_detail(drawing, scene, y, system)
    if scene.gap is not None and scene.gap.sure:
        y = gap_detail(drawing, scene, y, system)
    values, notes = _values(scene, system), _notes(scene, system)
    for words in notes:
        y = drawing.paragraph(LEFT, y, words, WIDTH - 2 * LEFT, halo=False) + 2
    return drawing.render(y, " ".join([*values, *notes]))


def _car(drawing: Drawing, scene: Scene, view: View, bottom: float) -> list[tuple[float, float, str, float]]:
    """The car's boxes; returns (middle, foot, name, width) of their names, which may stand below the parts."""
    named: list[tuple[float, float, str, float]] = []
    for thing in scene.near:
        left, right = max(view.x(thing.x_from), LEFT - 2), min(view.x(thing.x_to), view.right + 2)
        top = view.z(thing.top.value)
        if right <= left or top >= bottom:
            continue
        hatch = "none" if thing.beside else "metal"
        drawing.rect(left, top, right - left, bottom - top, "ink", hatch, 1.2, MOVING if thing.beside else "")
        band(drawing, left, top, right - left, thing.top, view.scale)
        name = shorten(thing.name, 18)
        wide = len(name) * TEXT * LETTER
        inside = wide <= right - left - 4 and bottom - top >= 18
        middle = min(max((left + right) / 2, LEFT + wide / 2), LEFT + ROOM - wide / 2)
        y = bottom - 5 if inside else bottom + 11
        while any(abs(y - other[1]) < 12 and abs(middle - other[0]) < (wide + other[3]) / 2 + 6 for other in named):
            y += 13
        named.append((middle, y, name, wide))

    return named


def _joint(drawing: Drawing, scene: Scene, view: View) -> None:
    """Block, gasket, tray rim and flange, cut at both ends; the rail between is a visible edge."""
    rail, low = view.z(0.0), view.z(scene.lowered)
    wide = RIM * view.scale
    drawing.line(view.x(scene.x_from), rail, view.x(scene.x_to), rail, "line", 0.8)
    for left in (view.x(scene.x_from) - wide, view.x(scene.x_to)):
        drawing.rect(left, view.top, wide, rail - view.top, "ink", "metal", 1.2)
        at = rail
        for known, hatch in ((scene.gasket, "soft"), (scene.tray, "metal")):
            if known is not None and known.value > 0:
                high = known.value * view.scale
                drawing.rect(left, at, wide, high, "ink", hatch, 0.8, "" if known.sure else NOT_KNOWN)
                at += high
        thick = scene.flange.value if scene.flange is not None and scene.flange.sure else 0.003
        drawing.rect(left, low, wide, thick * view.scale, "ink", "other_metal", 0.8)


def _pan(drawing: Drawing, scene: Scene, view: View) -> None:
    """Inside of wall and floor as a wide line (a thin section, ISO 128), the outside's boxes as a thin one."""
    if scene.hull:
        outline = [(end, view.z(piece.depth.value)) for piece in scene.hull for end in (piece.x_from, piece.x_to)]
        first, last = (outline[0][0], view.z(scene.lowered)), (outline[-1][0], view.z(scene.lowered))
        drawing.lines([(view.x(x), z) for x, z in (first, *outline, last)], "line", 0.8)
    before: Floor | None = None
    for piece in scene.floors:
        sure = piece.edges and piece.depth.sure and (before is None or before.depth.sure)
        joined = before is not None and abs(before.x_to - piece.x_from) < 1e-9
        start = before.depth.value if before is not None and joined else scene.lowered
        if before is not None and not joined:
            _wall(drawing, view, before.x_to, scene.lowered, before.depth.value, before.edges and before.depth.sure)
        _wall(drawing, view, piece.x_from, start, piece.depth.value, sure)
        left, right, low = view.x(piece.x_from), view.x(piece.x_to), view.z(piece.depth.value)
        drawing.line(left, low, right, low, "ink", 2.2, "" if piece.depth.sure else NOT_KNOWN, data_edge="floor")
        band(drawing, left, low, right - left, piece.depth, view.scale)
        before = piece
    if before is not None:
        _wall(drawing, view, before.x_to, scene.lowered, before.depth.value, before.edges and before.depth.sure)


def _wall(drawing: Drawing, view: View, x: float, top: float, low: float, sure: bool) -> None:
    drawing.line(view.x(x), view.z(top), view.x(x), view.z(low), "ink", 2.2, "" if sure else NOT_KNOWN)


def _levels(drawing: Drawing, scene: Scene, view: View) -> None:
    """Oil levels between the walls, with the sign of a free surface; what the crank sweeps as a moving part's line."""
    for mark in scene.marks:
        z = view.z(mark.depth.value)
        dash = "" if mark.depth.sure else NOT_KNOWN
        if mark.word in ("crank", "tray"):
            dash = MOVING if mark.word == "crank" else dash
            drawing.line(view.x(scene.x_from) + 6, z, view.x(scene.x_to) - 6, z, "ink", 1.2, dash)
        elif mark.word in ("full", "low"):
            for piece in scene.floors:
                if piece.depth.value > mark.depth.value:
                    left, right = view.x(piece.x_from), view.x(piece.x_to)
                    drawing.line(left, z, right, z, "accent", 1.0, dash)
                    middle = left + 0.2 * (right - left)
                    drawing.lines(
                        [(middle - 4, z - 7), (middle + 4, z - 7), (middle, z)], "accent", 1, "", "paper", True
                    )


def _pickup(drawing: Drawing, scene: Scene, view: View) -> None:
    """Pump inlet, tube and foot. Where the inlet lies along the engine and how the tube runs is not recorded."""
    bore = scene.bore.value if scene.bore is not None else 0.018
    x = foot_place(scene)
    span = scene.x_to - scene.x_from
    ahead = x > scene.x_from + 0.4 * span
    inlet_x = scene.x_from + (0.14 if ahead else 0.8) * span
    inlet = scene.inlet
    if inlet is not None:
        dash = "" if inlet.sure else NOT_KNOWN
        at, half = view.z(inlet.value), max(bore * view.scale / 2 + 3, 8.0)
        back = -_PUMP if ahead else 0
        drawing.rect(view.x(inlet_x) + back, at - half, _PUMP, 2 * half, "ink", "paper", 1.4, dash)
        drawing.words(view.x(inlet_x) + back + _PUMP / 2, at + 4, "pump", "middle", halo=False)
    if scene.hang is None:
        return
    hang, dash = scene.hang.value, "" if scene.hang.sure else NOT_KNOWN
    half = foot_half(scene)
    skirt, tall = hang - _FOOT[0], hang - _FOOT[1]
    if inlet is not None and tall > inlet.value:
        turn = min(0.03, tall - inlet.value, abs(x - inlet_x)) * (1 if ahead else -1)
        for side in (-bore / 2, bore / 2):
            across = side if ahead else -side
            drawing.lines(
                [
                    (view.x(inlet_x), view.z(inlet.value - side)),
                    (view.x(x - turn), view.z(inlet.value - side)),
                    (view.x(x + across), view.z(inlet.value + abs(turn))),
                    (view.x(x + across), view.z(tall)),
                ],
                "ink", 1.0, NOT_KNOWN,
            )  # fmt: skip
    outline = [(-half, hang), (-half, skirt), (-bore / 2, tall), (bore / 2, tall), (half, skirt), (half, hang)]
    drawing.lines([(view.x(x + a), view.z(b)) for a, b in outline], "ink", 1.6, dash, "paper", True, data_edge="foot")
    band(drawing, view.x(x - half), view.z(hang), 2 * half * view.scale, scene.hang, view.scale)


def _letters(drawing: Drawing, scene: Scene, view: View) -> None:
    """Frames and letters of what the details enlarge."""
    rail = view.z(0.0)
    if any(each is not None for each in (scene.gasket, scene.free, scene.tray, scene.flange)):
        drawing.rect(view.x(scene.x_to) - 5, rail - 11, RIM * view.scale + 10, 22, "line", "none", 0.8)
        drawing.words(view.x(scene.x_to) - 9, rail - 4, "A", "end", bold=True)
    if scene.gap is None or not scene.gap.sure or scene.floor is None or scene.hang is None:
        return
    edge = view.x(foot_place(scene) + foot_half(scene))
    top, low = sorted((view.z(scene.floor.value), view.z(scene.hang.value)))
    drawing.rect(edge - 7, top - 6, 14, max(low - top, 4) + 12, "line", "none", 0.8)
    drawing.words(edge, top - 9, "B", "middle", bold=True)


def _values(scene: Scene, system: str) -> list[str]:
    """Every value in words, for the description."""
    joint = (("Gasket, clamped", scene.gasket), ("Gasket, free", scene.free), ("Tray rim in the joint", scene.tray))
    lines = [f"{name}: {sentence(known, system)}." for name, known in joint if known is not None]
    for mark in scene.marks:
        lines.append(f"{mark.name.capitalize()}: {sentence(mark.depth, system)}.")
    for thing in scene.obstacles:
        beside = ", beside the plane of the section" if thing.beside else ""
        lines.append(f"Car, {shorten(thing.name, 60)}{beside}: top at {sentence(thing.top, system)}.")
    if scene.gap is not None:
        lines.append(f"Gap between foot and floor: {sentence(scene.gap, system)}.")
    return lines


def _notes(scene: Scene, system: str) -> list[str]:
    """What is not known, and what was drawn for show."""
    unsure = [(mark.name, mark.depth) for mark in scene.marks if not mark.depth.sure]
    unsure += [
        (name, known)
        for name, known in (("gasket, clamped", scene.gasket), ("gap between foot and floor", scene.gap))
        if known is not None and not known.sure
    ]
    lines = [f"{name.capitalize()}: {sentence(known, system)}." for name, known in unsure]
    if unsure:
        lines.append("Dashed: not known.")
    lines.append(SPREAD_SAYS)
    if scene.hang is not None and scene.inlet is not None:
        lines.append("Dashed tube: its way, and where the pump sits along the engine, are drawn for show.")
    if not scene.lengths_known:
        lines.append("Lengths along the engine are not recorded: only depths are true.")
    elif scene.floors and not scene.floors[0].edges:
        lines.append("Where the sump begins and ends is not recorded and drawn for show.")
    return lines
