"""The two enlarged details of the section: the clamped joint, and the foot over the floor. True proportion in each."""

from __future__ import annotations

import math
from itertools import pairwise

from kb.drawing._scene import Scene
from kb.drawing._svg import MOVING, NOT_KNOWN, ROW, WIDTH, Drawing, spread
from kb.drawing._values import Known, give_or_take, plain
from kb.unit_show import show_unit

HEIGHT = 104.0  # px that the inside of a detail takes
_SCALES = (0.25, 0.5, 1, 1.5, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30)  # px per mm
_MM = 1e-3


def scale_for(size: float, room: float) -> float:
    """Px per m: the largest handy scale at which `size` (m) takes at most `room` px."""
    fitting = [each for each in _SCALES if each * size / _MM <= room]
    return (fitting[-1] if fitting else room * _MM / size) / _MM


def scale_bar(drawing: Drawing, x: float, y: float, scale: float, system: str) -> None:
    """A bar of a round length, so that the scale can be read at any size of the picture. `scale` in px per m."""
    word, size = show_unit("length", system)
    steps = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500)
    length = next((each for each in steps if each * size * scale >= 28), steps[-1])
    wide = length * size * scale
    drawing.line(x, y, x + wide, y, "ink", 2)
    for end in (x, x + wide):
        drawing.line(end, y - 3, end, y + 3, "ink", 1)
    drawing.words(x + wide + 5, y + 4, f"{length:g} {word}")


def band(drawing: Drawing, x: float, y: float, width: float, known: Known, scale: float) -> None:
    """The tolerance band of a depth drawn at y: +/- the expanded uncertainty, at least one px high."""
    if known.sure and known.u:
        high = max(1.0, 2 * known.expanded * scale)
        drawing.rect(x, y - high / 2, width, high, "accent", "band", 0.5, data_band=f"{known.expanded / _MM:.4f}")


def _frame(drawing: Drawing, y: float, title: str, scale: float, system: str) -> tuple[float, float]:
    """Heading, frame and scale bar; returns the top of the inside and where the page goes on."""
    drawing.words(10, y, title, bold=True)
    top = y + 8
    drawing.rect(8, top, WIDTH - 16, HEIGHT + 24, "line", "none", 0.8)
    scale_bar(drawing, 16, top + HEIGHT + 14, scale, system)
    return top, top + HEIGHT + 24 + ROW + 6


def gap_detail(drawing: Drawing, scene: Scene, y: float, system: str) -> float:
    """Detail B: the lowest edge of the foot, the floor under it, and the gap with its spread."""
    floor, hang, gap = scene.floor, scene.hang, scene.gap
    assert floor is not None
    assert hang is not None
    assert gap is not None
    reach = abs(gap.value) + 2 * max(hang.expanded, floor.expanded) + 1 * _MM
    scale = scale_for(reach, HEIGHT - 40)
    top, after = _frame(drawing, y, "Detail B: foot over the floor", scale, system)
    drawing.group(data_view="gap", data_px_per_mm=f"{scale * _MM:.6f}")
    middle = top + HEIGHT / 2
    foot_y, floor_y = middle - gap.value * scale / 2, middle + gap.value * scale / 2
    end = top + HEIGHT
    drawing.clip(8, top, WIDTH - 16, HEIGHT)
    drawing.rect(10, floor_y, 200, end - floor_y + 20, "", "metal")
    drawing.line(10, floor_y, 210, floor_y, "ink", 2.2, data_edge="floor")
    drawing.lines(
        [(40, top - 5), (40, foot_y), (150, foot_y), (150, top - 5)],
        "ink", 2.2, "", "other_metal", data_edge="foot",
    )  # fmt: skip
    band(drawing, 10, floor_y, 200, floor, scale)
    band(drawing, 40, foot_y, 110, hang, scale)
    drawing.close()
    drawing.words(95, max(top + 14, min(foot_y, floor_y) - 8), "foot", "middle")
    drawing.words(20, min(end - 4, max(foot_y, floor_y) + 16), "pan floor")
    drawing.line(152, foot_y, 232, foot_y, "line", 0.7)
    drawing.line(212, floor_y, 232, floor_y, "line", 0.7)
    drawing.dimension_v(226, foot_y, floor_y, data_name="gap")
    unit = show_unit("length", system)[0]
    if gap.value < 0:
        lines = ["foot in the floor by", f"{plain(-gap.value, 'length', system)} {unit}"]
    else:
        lines = ["gap", f"{give_or_take(gap, system)} {unit}"]
    for at, words in enumerate(lines):
        drawing.words(236, middle + (at - (len(lines) - 1) / 2) * ROW + 4, words, bold=at > 0)
    drawing.close()
    return after


def joint_detail(drawing: Drawing, scene: Scene, y: float, system: str) -> float:
    """Detail A: rail, clamped gasket beside the free one, rim of the tray, flange of the pan."""
    layers = [
        (word, known, hatch)
        for word, known, hatch in (
            ("gasket", scene.gasket, "soft"),
            ("tray rim", scene.tray, "metal"),
            ("flange", scene.flange, "other_metal"),
        )
        if known is not None and (known.value > 0 or not known.sure)
    ]
    if not layers and scene.free is None:
        return y
    whole = sum(known.value for _, known, _ in layers)
    tall = max(whole, scene.free.value if scene.free is not None else 0.0, 1e-4)
    scale = scale_for(tall, HEIGHT - 26)
    top, after = _frame(drawing, y, "Detail A: the joint, bolted up", scale, system)
    drawing.group(data_view="joint", data_px_per_mm=f"{scale * _MM:.6f}")
    rail = top + 20
    drawing.rect(10, top + 1, 180, 19, "", "metal")
    drawing.line(10, rail, 190, rail, "ink", 2.2)
    drawing.words(100, top + 14, "block rail", "middle")
    at, rows = rail, []
    for word, known, hatch in layers:
        high = known.value * scale
        drawing.rect(96, at, 74, high, "ink", hatch, 1.4, "" if known.sure else NOT_KNOWN, data_layer=word)
        rows.append((word, known, at, at + high))
        at += high
    for _, known, _, bottom in rows:
        band(drawing, 96, bottom, 74, known, scale)
    if scene.free is not None:
        _free(drawing, scene.free, rail, scale, top + HEIGHT - ROW, system)
    for _, _, a, b in rows:
        drawing.line(172, b, 190, b, "line", 0.7)
        drawing.line(186, a, 186, b, "ink", 0.8, data_from=a, data_to=b)
    _chain(drawing, 186, [a for _, _, a, _ in rows] + [b for *_, b in rows[-1:]])
    places = spread([(a + b) / 2 for _, _, a, b in rows], ROW, rail + 4)
    for (word, known, a, b), put in zip(rows, places, strict=True):
        drawing.lines([(188, (a + b) / 2), (198, put), (202, put)], "line", 0.7)
        drawing.words(206, put + 4, f"{word} {give_or_take(known, system)}")
    drawing.close()
    return after


def _chain(drawing: Drawing, x: float, ends: list[float]) -> None:
    """Ends of a chain of dimensions (ISO 129): arrowheads where there is room, dots between links that have none."""
    roomy = [b - a >= 14 for a, b in pairwise(ends)]
    for at, end in enumerate(ends):
        before, after = roomy[at - 1] if at else None, roomy[at] if at < len(roomy) else None
        if before is not None and after is not None and not (before and after):
            drawing.circle(x, end, 2, "ink", "ink", 0.5)
            continue
        if before is None and after is False:
            drawing.line(x, end - 10, x, end, "ink", 0.8)
            drawing.arrow(x, end, math.pi / 2)
        elif after is None and before is False:
            drawing.line(x, end, x, end + 10, "ink", 0.8)
            drawing.arrow(x, end, -math.pi / 2)
        else:
            if before:
                drawing.arrow(x, end, math.pi / 2)
            if after:
                drawing.arrow(x, end, -math.pi / 2)


def _free(drawing: Drawing, free: Known, rail: float, scale: float, lowest: float, system: str) -> None:
    """The gasket before it is clamped, drawn beside the joint in the line of an alternative position (ISO 128)."""
    high = free.value * scale
    drawing.rect(18, rail, 60, high, "ink", "soft", 1.0, MOVING if free.sure else NOT_KNOWN, data_layer="free")
    for step, words in enumerate(("free", give_or_take(free, system))):
        drawing.words(48, min(rail + high, lowest) + 13 + step * ROW, words, "middle")
