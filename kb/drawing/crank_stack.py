"""Half section from the crank's flange to the gearbox's pump, to scale, front at the left, with what decides enlarged.

Above the centre line only. Places along the crank are parallel dimensions from the block's rear face (ISO 129). Wide
continuous lines are recorded; dashed ones are not: places at the middle of their plausible range, outlines for show.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from kb.build import Build, applies
from kb.chance import Settings
from kb.drawing._details import scale_bar
from kb.drawing._gauge import READ, Gauge, draw_gauge, gauge_of, said
from kb.drawing._stack_scene import Stack, stack_of
from kb.drawing._svg import AXIS, LETTER, MOVING, NOT_KNOWN, ROW, TEXT, WIDTH, Drawing
from kb.drawing._values import Known, give_or_take, sentence
from kb.judge import judge
from kb.rules import load_rules
from kb.unit_show import show_unit

LEFT, ROOM, TALL = 12.0, WIDTH - 24.0, 250.0  # px: the section's box
_MM = 1e-3
# What decides, and its short name. Those that do not apply to the build are left out.
SCALES = {
    "converter-pull-forward-gap": "Gap at the pads before pull forward",
    "converter-hub-engagement": "Hub in the pump gear, share of its width",
    "converter-nose-entry": "Nose in the crank's bore",
    "converter-nose-bottom": "Nose to the bottom of the bore",
    "converter-nose-pilot-fit": "Play of the nose in its bore, across",
    "converter-hub-bushing": "Play of the hub in its bushing, across",
    "converter-bolt-head": "Converter bolts' heads to block and cap",
    "input-tip-engagement": "Input shaft's tip in the pilot bearing",
    "input-tip-bottom": "Input shaft's tip to the bottom of the bore",
    "crank-end-float": "End float of the crank, gearbox off",
    "crank-end-float-check": "End float lost by bolting up the gearbox",
}


class _Row(NamedTuple):
    """A dimension from the block's rear face. radius: where its extension line begins."""

    name: str
    place: Known
    radius: float


class _View(NamedTuple):
    """Where a place lies on the page; scale in px per m, axis: y of the centre line."""

    low: float
    scale: float
    axis: float

    def x(self, z: float) -> float:
        return LEFT + (z - self.low) * self.scale

    def y(self, r: float) -> float:
        return self.axis - r * self.scale


def crank_stack(build: Build, settings: Settings | None = None, *, system: str = "mm", prefix: str = "stack") -> str:
    """SVG of crank flange, spacer, plate, converter and pump gear (or pilot bearing and input shaft) of a build."""
    stack = stack_of(build)
    manual = stack.tip is not None
    title = "Crank to gearbox" if manual or stack.home is None else "Crank to converter"
    drawing = Drawing(prefix, f"{title}, half section, of {build.name or build.id}")
    unit = show_unit("length", system)[0]
    drawing.words(LEFT, 18, f"{title}, front at the left", bold=True, size=13)
    y = drawing.paragraph(LEFT, 34, f"{unit} rearward of the block's rear face, half section, crank forward", ROOM)
    rows = _rows(stack)
    if stack.flange is None and stack.home is None:
        y = drawing.paragraph(LEFT, y + 4, "Neither the crank's flange nor the converter can be placed: measure.", ROOM)
    else:
        y = _section(drawing, stack, rows, y + 14, system)
    notes = _notes(stack)
    for note in notes:
        y = drawing.paragraph(LEFT, y, note, ROOM, halo=False) + 2
    gauges = _gauges(build, settings or Settings())
    for gauge in gauges:
        y = draw_gauge(drawing, y + 6, gauge, system)
    if gauges:
        y = drawing.paragraph(LEFT, y + 2, READ, ROOM, halo=False, colour="line")
    words = [f"{row.name.capitalize()}: {sentence(row.place, system)}." for row in rows]
    if stack.gap is not None:
        words.append(f"Gap before pull forward: {sentence(stack.gap, system)}.")
    return drawing.render(y, " ".join([*words, *notes, *(said(each, system) for each in gauges)]))


def _gauges(build: Build, settings: Settings) -> list[Gauge]:
    rules = load_rules()
    return [
        gauge_of(judge(rules[id], build, settings), name)
        for id, name in SCALES.items()
        if id in rules and not applies(rules[id], build)
    ]


def _rows(stack: Stack) -> list[_Row]:
    """The dimensions, shortest first, so that extension lines cross as little as they can."""
    bore, flange, pad = (
        _value(stack.bore_radius, 0.02),
        _value(stack.flange_radius, 0.04),
        _value(stack.pad_radius, 0.1),
    )
    hub = _value(stack.hub_radius, 0.024)
    wanted = (
        ("bore's bottom", stack.bottom, bore),
        ("end of the nose", stack.nose, _value(stack.nose_radius, bore)),
        ("crank flange", stack.flange, flange),
        ("rear of the spacer", stack.seat if stack.spacer is not None else None, flange),
        ("bell's face", stack.plates, pad),
        ("pads, bolted up", stack.pads, pad),
        ("pads, pushed home", stack.home, pad),
        ("friction face", stack.friction, flange),
        ("pilot, near edge", stack.bearing, bore),
        ("input shaft's tip", stack.tip, _value(stack.tip_radius, bore)),
        ("pump gear", stack.gear, hub),
        ("end of the hub, home", stack.hub_home, hub),
    )
    found = [_Row(name, place, radius) for name, place, radius in wanted if place is not None]
    return sorted(found, key=lambda row: row.place.value)


def _value(known: Known | None, otherwise: float) -> float:
    return known.value if known is not None else otherwise


# -- the section -----------------------------------------------------------------------------------------------------


def _section(drawing: Drawing, stack: Stack, rows: list[_Row], top: float, system: str) -> float:
    """Parts and dimensions; returns where the page goes on."""
    ends = [row.place.value for row in rows] or [0.0]
    for known in (stack.hub, stack.gear):
        if known is not None:
            ends.append(known.value + _value(stack.gear_width, 0.0))
    low, high = min(-0.016, *ends) - 0.006, max(0.03, *ends) + 0.02
    flange = _value(stack.flange_radius, 0.04) + 0.01
    tall = max(_value(stack.pad_radius, 0.0) + 0.03, flange + 0.02)
    scale = min(ROOM / (high - low), TALL / tall)
    view = _View(low, scale, top + tall * scale)
    right = view.x(high)
    drawing.group(data_view="stack", data_px_per_mm=f"{scale * _MM:.6f}")
    drawing.clip(LEFT - 2, top - 2, ROOM + 4, tall * scale + 4)
    _block(drawing, stack, view, tall, flange)
    _crank(drawing, stack, view, flange)
    _pump(drawing, stack, view)
    _converter(drawing, stack, view)
    _plate(drawing, stack, view, flange)
    _shaft(drawing, stack, view, right)
    drawing.close()
    drawing.line(LEFT, view.axis, right, view.axis, "line", 0.8, AXIS)
    _letters(drawing, stack, view, tall, flange)
    y = _dimensions(drawing, rows, view, system)
    if stack.gap is not None and stack.pads is not None and stack.home is not None:
        _gap(drawing, stack, view, top - 2, system)
    drawing.close()
    scale_bar(drawing, LEFT, y + 4, scale, system)
    return y + 2 * ROW + 2


def _box(
    drawing: Drawing, view: _View, z: tuple[float, float], r: tuple[float, float], hatch: str, sure: bool, **more: str
) -> None:
    left, right = sorted((view.x(z[0]), view.x(z[1])))
    high, low = view.y(max(r)), view.y(min(r))
    drawing.rect(left, high, right - left, low - high, "ink", hatch, 1.2, "" if sure else NOT_KNOWN, **more)


def _block(drawing: Drawing, stack: Stack, view: _View, tall: float, flange: float) -> None:
    """Block, plates and bell: their faces are true, how far they reach is for show."""
    foot = max(flange + 0.006, tall - 0.045)
    drawing.rect(view.x(-0.012), view.y(tall), view.x(0) - view.x(-0.012), view.y(foot) - view.y(tall), "", "metal")
    drawing.line(view.x(0), view.y(tall), view.x(0), view.y(foot), "ink", 2.0, data_edge="block")
    back = 0.0
    if stack.plates is not None:
        back = stack.plates.value
        _box(drawing, view, (0.0, back), (tall - 0.022, tall), "other_metal", stack.plates.sure, data_part="plates")
    left = view.x(back)
    drawing.rect(left, view.y(tall), view.x(back + 0.012) - left, view.y(tall - 0.022) - view.y(tall), "", "metal")
    drawing.line(left, view.y(tall), left, view.y(tall - 0.022), "ink", 1.4, data_edge="bell")


def _crank(drawing: Drawing, stack: Stack, view: _View, flange: float) -> None:
    if stack.flange is None:
        return
    z, low = stack.flange.value, view.low
    bore = _value(stack.bore_radius, 0.0)
    mouth = min(_value(stack.mouth, z), z)
    bottom = _value(stack.bottom, mouth)
    outline = [(low, 0.0), (bottom, 0.0), (bottom, bore), (mouth, bore), (z, bore + max(z - mouth, 0.0)), (z, flange)]
    outline += [(z - 0.012, flange), (z - 0.012, flange * 0.72), (low, flange * 0.72)]
    places = [(view.x(a), view.y(b)) for a, b in outline]
    drawing.lines(places, "", fill="metal", closed=True, data_part="crank")
    sure = stack.flange.sure
    drawing.lines(places[5:], "line", 1.0, NOT_KNOWN)
    inner = sure and all(each is not None and each.sure for each in (stack.bore_radius, stack.mouth, stack.bottom))
    drawing.lines(places[1:5], "ink", 1.4, "" if inner else NOT_KNOWN, data_edge="bore")
    drawing.line(*places[4], *places[5], "ink", 2.0, "" if sure else NOT_KNOWN, data_edge="flange")
    if stack.bearing is not None and stack.bearing_length is not None:
        near, far = stack.bearing.value, stack.bearing.value - stack.bearing_length.value
        known = stack.bearing.sure and stack.bearing_length.sure
        inside = min(_value(stack.bearing_bore, bore * 0.6), bore)
        _box(drawing, view, (far, near), (inside, bore), "soft", known, data_part="pilot")
    if stack.spacer is not None and stack.seat is not None:
        _box(drawing, view, (z, stack.seat.value), (bore, flange), "other_metal", stack.seat.sure, data_part="spacer")


def _plate(drawing: Drawing, stack: Stack, view: _View, flange: float) -> None:
    """Flexplate: seat and pads true, the dish between them for show. Flywheel: from its seat to its friction face."""
    if stack.seat is None:
        return
    inside = _value(stack.register_radius, 0.03)
    seat = stack.seat.value
    if stack.friction is not None:
        sure = stack.friction.sure and stack.seat.sure
        left, right = view.x(seat), view.x(stack.friction.value)
        top, low = view.y(flange + 0.05), view.y(inside)
        drawing.rect(left, top, right - left, low - top, "line", "other_metal", 0.8, NOT_KNOWN, data_part="flywheel")
        drawing.line(right, top, right, low, "ink", 2.0, "" if sure else NOT_KNOWN, data_edge="friction")
        return
    if stack.pads is None:
        return
    thick, at_pads = _value(stack.thickness, 0.003), _value(stack.pad_thickness, 0.003)
    pad, pads = _value(stack.pad_radius, 0.12), stack.pads.value
    outline = [(seat, inside), (seat, flange), (pads - at_pads, pad - 0.014), (pads - at_pads, pad + 0.014)]
    outline += [(pads, pad + 0.014), (pads, pad - 0.014), (seat + thick, flange), (seat + thick, inside)]
    known = (stack.pads, stack.seat, stack.thickness, stack.pad_thickness, stack.pad_radius, stack.register_radius)
    sure = all(each is not None and each.sure for each in known)
    places = [(view.x(z), view.y(r)) for z, r in outline]
    drawing.lines(places, "ink", 1.2, "" if sure else NOT_KNOWN, "other_metal", closed=True, data_part="flexplate")


def _converter(drawing: Drawing, stack: Stack, view: _View) -> None:
    """The converter bolted up; its shell is for show. Two-dot chain lines: where it stands pushed home."""
    at = stack.pads if stack.pads is not None else stack.home
    if at is None:
        return
    pads, pad = at.value, _value(stack.pad_radius, 0.12)
    nose_r, hub_r = _value(stack.nose_radius, 0.02), _value(stack.hub_radius, 0.024)
    end = _value(stack.hub if stack.pads is not None else stack.hub_home, pads + 0.1)
    deep = end - pads
    shell = [
        (pads, pad + 0.01), (pads + 0.1 * deep, pad + 0.016), (pads + 0.45 * deep, pad + 0.006),
        (pads + 0.62 * deep, pad * 0.6), (pads + 0.66 * deep, hub_r), (pads + 0.66 * deep, 0.0),
        (pads + 0.05 * deep, 0.0),
        (pads + 0.05 * deep, pad * 0.55), (pads + 0.04 * deep, pad - 0.02), (pads, pad - 0.012),
    ]  # fmt: skip
    places = [(view.x(z), view.y(r)) for z, r in shell]
    drawing.lines(places, "line", 1.0, NOT_KNOWN, "paper", closed=True, data_part="shell")
    sure = at.sure and stack.pad_radius is not None and stack.pad_radius.sure
    line = view.x(pads), view.y(pad + 0.01), view.x(pads), view.y(pad - 0.012)
    drawing.line(*line, "ink", 2.0, "" if sure else NOT_KNOWN, data_edge="pads")
    if stack.nose is not None:
        known = stack.nose.sure and stack.nose_radius is not None and stack.nose_radius.sure
        _box(drawing, view, (stack.nose.value, pads + 0.05 * deep), (0.0, nose_r), "paper", known, data_part="nose")
    known = stack.hub is not None and stack.hub.sure and stack.hub_radius is not None and stack.hub_radius.sure
    _box(drawing, view, (pads + 0.66 * deep, end), (0.0, hub_r), "paper", known, data_part="hub")
    if stack.home is not None and stack.pads is not None:
        x = view.x(stack.home.value)
        dash = MOVING if stack.home.sure else NOT_KNOWN
        drawing.line(x, view.y(pad + 0.02), x, view.y(pad - 0.02), "ink", 1.2, dash, data_edge="home")
    if stack.hub_home is not None and stack.hub is not None:
        x = view.x(stack.hub_home.value)
        drawing.line(x, view.y(0.0), x, view.y(hub_r), "ink", 1.2, MOVING, data_edge="hub-home")


def _pump(drawing: Drawing, stack: Stack, view: _View) -> None:
    if stack.gear is None or stack.gear_width is None:
        return
    hub_r = _value(stack.hub_radius, 0.024)
    z = stack.gear.value
    sure = stack.gear.sure and stack.gear_width.sure
    _box(drawing, view, (z, z + stack.gear_width.value), (hub_r, hub_r + 0.014), "metal", sure, data_part="gear")


def _shaft(drawing: Drawing, stack: Stack, view: _View, right: float) -> None:
    """Input shaft of a manual gearbox: the end of its tip and its diameter are true."""
    if stack.tip is None:
        return
    radius = _value(stack.tip_radius, 0.0085)
    sure = stack.tip.sure and stack.tip_radius is not None and stack.tip_radius.sure
    x, y = view.x(stack.tip.value), view.y(radius)
    drawing.rect(x, y, right - x, view.axis - y, "", "paper")
    places = [(right, y), (x, y), (x, view.axis)]
    drawing.lines(places, "ink", 1.4, "" if sure else NOT_KNOWN, data_part="shaft")


def _letters(drawing: Drawing, stack: Stack, view: _View, tall: float, flange: float) -> None:
    """Names of the parts, where there is room for them."""
    drawing.words(max(view.x(0) - 4, 36.0), view.y(tall) + 14, "block", "end")
    back = _value(stack.plates, 0.0)
    drawing.words(view.x(back) + 3, view.y(tall - 0.022) + 13, "bell")
    if stack.flange is not None:
        drawing.words(max(view.x(stack.flange.value) - 4, 36.0), view.y(flange) - 5, "crank", "end")
    middle = _value(stack.pads, _value(stack.home, 0.03)) + 0.03
    if stack.home is not None:
        drawing.words(view.x(middle) + 6, view.y(_value(stack.pad_radius, 0.12) * 0.62), "converter")
    if stack.pads is not None and stack.seat is not None:
        x = max(view.x(stack.seat.value) - 2, 62.0)
        drawing.words(x, view.y(_value(stack.pad_radius, 0.12) * 0.5), "flexplate", "end")
    if stack.gear is not None:
        x = view.x(stack.gear.value + _value(stack.gear_width, 0.0) / 2)
        drawing.words(min(x, WIDTH - 36), view.y(_value(stack.hub_radius, 0.024) + 0.014) - 5, "pump gear", "middle")
    if stack.friction is not None:
        drawing.words(view.x(stack.friction.value) + 5, view.y(flange + 0.04), "flywheel")
    if stack.tip is not None:
        drawing.words(view.x(stack.tip.value) + 30, view.y(_value(stack.tip_radius, 0.0085)) - 5, "input shaft")


def _gap(drawing: Drawing, stack: Stack, view: _View, y: float, system: str) -> None:
    """The gap as a dimension over the pads: arrows outside, words beside (ISO 129)."""
    assert stack.gap is not None
    assert stack.pads is not None
    assert stack.home is not None
    left, right = sorted((view.x(stack.pads.value), view.x(stack.home.value)))
    low = view.y(_value(stack.pad_radius, 0.12) + 0.014)
    for x in (left, right):
        drawing.line(x, y - 4, x, low - 2, "line", 0.6)
    drawing.line(left - 14, y, left, y, "ink", 0.8)
    drawing.line(right, y, right + 14, y, "ink", 0.8, data_from=left, data_to=right, data_name="gap")
    drawing.arrow(left, y, 0.0)
    drawing.arrow(right, y, math.pi)
    drawing.words(right + 18, y + 4, f"gap {give_or_take(stack.gap, system)}", bold=True)


def _dimensions(drawing: Drawing, rows: list[_Row], view: _View, system: str) -> float:
    """Parallel dimensions below the centre line, all from the block's rear face."""
    zero, foot = view.x(0.0), view.axis + 6.0
    placed: list[tuple[_Row, float, float, str, bool]] = []
    for row in rows:
        at = view.x(row.place.value)
        words = f"{row.name} {give_or_take(row.place, system)}" + ("" if row.place.sure else ": measure")
        wide = len(words) * TEXT * LETTER
        above = at - zero > wide + 16 or max(at, zero) + 6 + wide > WIDTH - 4  # over its line, where that is long
        foot += ROW + (9 if above and placed and not placed[-1][4] else 2)
        placed.append((row, at, foot, words, above))
    drawing.line(zero, view.axis + 3, zero, foot + 4, "ink", 0.9, data_origin="block")
    for row, at, y, _, _ in placed:
        dash = "" if row.place.sure else NOT_KNOWN
        drawing.line(at, view.y(row.radius) + 2, at, y + 4, "line", 0.6, dash)
        drawing.line(zero, y, at, y, "ink", 0.8, dash, data_dimension=row.name, data_to=at)
        if abs(at - zero) > 5:
            drawing.arrow(at, y, 0.0 if at > zero else math.pi, size=5)
    for _, at, y, words, above in placed:
        wide = len(words) * TEXT * LETTER
        x = max(at, zero) + 6 if not above else zero + 6 if at - zero > wide + 16 else WIDTH - 6 - wide
        low = y - 3 if above else y + 4
        drawing.rect(x - 1, low - 10, wide + 2, 12, "", "paper")
        drawing.words(x, low, words)
    return foot + ROW


def _notes(stack: Stack) -> list[str]:
    lines = ["Dashed outlines, and how far block, bell and crank reach, are not recorded and drawn for show."]
    if stack.home is not None and stack.pads is not None:
        lines.append("Long dash and two dots: the converter pushed home. Full lines: pulled forward and bolted up.")
    if stack.home is not None:
        lines.append(load_rules()["converter-pull-forward-gap"].caution)
    unsure = [row.name for row in _rows(stack) if not row.place.sure]
    if unsure:
        lines.append(f"Not known, dashed at the middle of what is plausible: {', '.join(unsure)}.")
    if stack.hub is not None and not stack.hub.sure:
        lines.append("The converter's height is not known: where its hub ends is dashed.")
    return lines
