"""The engine bay from the side, and every gap in it to one scale: fan rock, hood, wing, steering, lines.

Only the gaps, the radiator's core and the fan are measured things; the outline of the engine is drawn for show and
says so. What moves is drawn where it comes to in a long dash and two dots (ISO 128).
"""

from __future__ import annotations

from collections.abc import Callable

from kb.build import Build
from kb.drawing._bay_scene import Bay, Gap, bay_of
from kb.drawing._details import band, scale_bar, scale_for
from kb.drawing._svg import LETTER, MOVING, NOT_KNOWN, ROW, TEXT, USUAL, WIDTH, Drawing
from kb.drawing._values import SPREAD_SAYS, UNKNOWN, Known, give_or_take, plain, sentence
from kb.unit_show import show, show_unit

LEFT = 10.0
FIXED, BLOCK, ROOM = 52.0, 42.0, 200.0  # px: face of the fixed thing, width of a block, most that a gap takes
HIGH = 30.0  # px: height of a bar
WIDE = 1.15  # letters of the widest usual font, and bold ones, over LETTER
_MM = 1e-3
Place = Callable[[float], float]
# Outlines for show, m: depth of core and fan along the car, engine behind the fan, and its heights over the crank.
_CORE, _FAN, _NOSE, _ENGINE, _BELL = 0.05, 0.05, 0.07, 0.50, 0.14
_PAN, _CLEANER, _CORE_LOW = -0.20, 0.40, -0.12
_CAUTION = (
    "Keep out of the plane of the fan, and fingers out of gaps: a mount may give. An electric fan may start by itself: "
    "battery off. Work under a car only on stands, wheels chocked."
)


def bay_envelope(build: Build, *, system: str = "mm", prefix: str = "y") -> str:
    """SVG of the bay of a build whose role `engine_bay` is filled; ValueError where it is empty.

    system: "mm", "in" or "in64" as in `unit_show.show`. prefix: keeps the ids of several pictures on a page apart.
    """
    if "engine_bay" not in build.parts:
        raise ValueError("the build has no engine bay to draw")
    bay = bay_of(build)
    drawing = Drawing(prefix, f"Engine bay of {build.name or build.id}: fan rock and gaps")
    unit = show_unit("length", system)[0]
    drawing.words(LEFT, 18, "Engine bay from the side, front at the left", bold=True, size=13)
    drawing.words(LEFT, 34, f"Gaps in {'inches' if unit == 'in' else unit}, engine at rest")
    y = _side(drawing, bay, system)
    drawing.words(LEFT, y, "Every gap, all to one scale", bold=True)
    y = _rows(drawing, bay, y + ROW + 2, system)
    notes = _notes(bay, system)
    for words in notes:
        y = drawing.paragraph(LEFT, y, words, WIDTH - 2 * LEFT, halo=False) + 2
    said = [f"{each.letter}, {each.words}: {sentence(each.room, system)}{_wants(each, system)}." for each in bay.gaps]
    return drawing.render(y, " ".join([*said, *notes]))


# -- from the side -------------------------------------------------------------------------------------------------


def _side(drawing: Drawing, bay: Bay, system: str) -> float:
    """Radiator, fan, engine in outline, hood; returns where the page goes on."""
    gap, hood = bay.gap("A").room, bay.gap("B").room
    length = _CORE + _FAN + max(gap.value, 0.0) + _NOSE + _ENGINE + _BELL
    core_top = _CORE_LOW + bay.core_height
    top, low = max(_CLEANER, _CLEANER + hood.value, core_top), min(_PAN, _CORE_LOW)
    scale = min((WIDTH - 2 * LEFT - 24) / length, 250.0 / (top - low))
    x0, y0 = LEFT + 4, 58.0

    def x(place: float) -> float:
        return x0 + place * scale

    def z(height: float) -> float:
        return y0 + (top - height) * scale

    drawing.group(data_view="side", data_px_per_mm=f"{scale * _MM:.6f}")
    drawing.rect(x0, z(core_top), _CORE * scale, bay.core_height * scale, "ink", "metal", 1.4, data_part="core")
    drawing.words(LEFT, z(core_top) - 6, "radiator and fan")
    # An electric fan hangs on the core and the engine comes to it; a mechanical one moves with the engine.
    electric = bool(bay.electric)
    moving = _CORE + (_FAN if electric else 0.0) + gap.value
    nose = moving + (0.0 if electric else _FAN)
    centre = _CORE_LOW + bay.core_height / 2
    fan_left = _CORE if electric else moving
    sure = "" if gap.sure else NOT_KNOWN
    dash = NOT_KNOWN if bay.electric is None else "" if electric else sure
    half, wide = bay.fan_height / 2, _FAN * scale
    drawing.rect(x(fan_left), z(centre + half), wide, 2 * half * scale, "ink", "paper", 1.4, dash, data_part="fan")
    blade = [(x(fan_left), z(centre + half)), (x(fan_left + _FAN), z(centre)), (x(fan_left), z(centre - half))]
    drawing.lines(blade, "ink", 0.8, dash)
    _engine(drawing, x, z, nose, centre, sure)
    if bay.rock is not None and gap.sure:
        at = x(moving - bay.rock)
        reach = bay.fan_height / 2 if not electric else 0.07
        drawing.line(
            at, z(centre + reach), at, z(centre - reach), "ink", 1.2, MOVING, data_rock=f"{bay.rock / _MM:.4f}"
        )
    _hood(drawing, x, z, nose, hood, system)
    fixed = x(_CORE + (_FAN if electric else 0.0))
    y = z(low) + 24
    _gap_below(drawing, fixed, x(moving), z(_CORE_LOW if not electric else centre - bay.fan_height / 2), y, gap, system)
    drawing.close()
    y += ROW + 12
    scale_bar(drawing, LEFT, y - 4, scale, system)
    return y + ROW + 10


def _engine(drawing: Drawing, x: Place, z: Place, nose: float, centre: float, dash: str) -> None:
    """Pulley, block with pan, manifold and bell as one thin outline; it is for show."""
    front, rear = nose + _NOSE, nose + _NOSE + _ENGINE
    end = rear + _BELL
    wide, top, low = x(nose + 0.03) - x(nose), z(centre + 0.07), z(centre - 0.07)
    drawing.rect(x(nose), top, wide, low - top, "ink", "paper", 1.4, dash)
    drawing.line(x(nose + 0.03), z(centre), x(front), z(centre), "line", 3)
    outline = [(front, 0.24), (front + 0.10, 0.30), (rear - 0.08, 0.30), (rear, 0.22), (end, 0.12), (end, -0.12),
               (rear, -0.14), (rear - 0.05, _PAN), (rear - 0.24, _PAN), (rear - 0.26, -0.10),
               (front, -0.10)]  # fmt: skip
    drawing.lines([(x(a), z(b)) for a, b in outline], "line", 0.8, "", "paper", closed=True)
    drawing.words(x(front + 0.22), z(0.08), "engine", "middle")
    drawing.words(x(front + 0.22), z(0.08) + ROW, "(for show)", "middle")


def _hood(drawing: Drawing, x: Place, z: Place, nose: float, room: Known, system: str) -> None:
    """Carburettor, air cleaner and the hood over it with its gap."""
    left = nose + _NOSE + 0.06
    right = left + 0.27
    middle = (left + right) / 2
    drawing.rect(
        x(middle - 0.04), z(0.34), x(middle + 0.04) - x(middle - 0.04), z(0.30) - z(0.34), "line", "paper", 0.8
    )
    drawing.rect(x(left), z(_CLEANER), x(right) - x(left), z(0.34) - z(_CLEANER), "ink", "paper", 1.4)
    drawing.words(x(middle), z(0.37) + 4, "air cleaner", "middle")
    hood, top = z(_CLEANER + room.value), z(_CLEANER)
    drawing.line(LEFT, hood, WIDTH - LEFT, hood, "ink", 2.2, "" if room.sure else NOT_KNOWN, data_edge="hood")
    drawing.words(LEFT, hood - 6, "hood")
    band(drawing, x(left), top, x(right) - x(left), room, (top - hood) / room.value if room.value else 1.0)
    if room.value < 0:
        drawing.rect(x(left), top, x(right) - x(left), hood - top, "bad", "over", 1.2)
    at = x(right) + 16
    drawing.line(x(right) + 2, top, at + 4, top, "line", 0.7)
    drawing.dimension_v(at, top, hood, data_name="hood")
    drawing.words(at + 9, max(top, hood) + 13, f"B {_figure(room, system)}", bold=True)


def _gap_below(drawing: Drawing, fixed: float, moving: float, start: float, y: float, room: Known, system: str) -> None:
    """The gap at the fan on a dimension line under the parts, its figure to the right where there is room."""
    for at in (fixed, moving):
        drawing.line(at, start + 3, at, y + 4, "line", 0.7)
    words = f"A {_figure(room, system)}"
    left, right = sorted((fixed, moving))
    wide = len(words) * TEXT * LETTER * WIDE
    drawing.dimension_out(y, left, right, right + 12 + wide, data_name="fan")
    drawing.words(right + 13, y - 4, words, bold=True)


def _figure(room: Known, system: str) -> str:
    return give_or_take(room, system) if room.sure else "?"


# -- every gap -----------------------------------------------------------------------------------------------------


def _rows(drawing: Drawing, bay: Bay, y: float, system: str) -> float:
    reach = [0.01]
    for each in bay.gaps:
        reach += [each.room.value + each.room.expanded] if each.room.sure else []
        reach += [want.room for want in each.wanted]
    scale = scale_for(max(reach), ROOM)
    drawing.group(data_view="gaps", data_px_per_mm=f"{scale * _MM:.6f}")
    for each in bay.gaps:
        y = _row(drawing, bay, each, y, scale, system)
    drawing.close()
    scale_bar(drawing, LEFT, y, scale, system)
    return y + ROW + 10


def _row(drawing: Drawing, bay: Bay, gap: Gap, y: float, scale: float, system: str) -> float:
    """Words over a bar: the fixed thing, the gap, the moving thing with its band, and the room wanted."""
    unit = show_unit("length", system)[0]
    room = gap.room
    drawing.words(LEFT, y, gap.letter, bold=True)
    y = drawing.paragraph(LEFT + 14, y, gap.words, WIDTH - 2 * LEFT - 14)
    top, face = y - 4, FIXED
    edge = face + room.value * scale if room.sure else face + 110
    dash = "" if room.sure else NOT_KNOWN
    foot, middle = top + HIGH, top + HIGH / 2
    drawing.clip(LEFT, top - 2, WIDTH - 2 * LEFT, HIGH + 4)
    drawing.rect(face - BLOCK, top, BLOCK, HIGH, "ink", "metal", 1.4)
    drawing.rect(edge, top, BLOCK, HIGH, "ink", "other_metal", 1.4, dash, data_gap=gap.letter)
    if edge < face:
        drawing.rect(edge, top, face - edge, HIGH, "bad", "over", 1.4)
    if room.sure and room.u:
        wide = max(1.0, 2 * room.expanded * scale)
        drawing.rect(edge - wide / 2, top, wide, HIGH, "accent", "band", 0.5, data_band=f"{room.expanded / _MM:.4f}")
    if gap.letter == "D" and bay.sag is not None and room.sure and bay.sag.value > 0:
        at = edge - bay.sag.value * scale
        drawing.line(at, top, at, foot, "ink", 1.2, MOVING, data_sag=f"{bay.sag.value / _MM:.4f}")
    drawing.close()
    if not room.sure:
        drawing.words((face + edge) / 2, middle + 4, "?", "middle", 13, "open", bold=True)
        drawing.words(edge + BLOCK + 6, middle + 4, UNKNOWN, colour="open", bold=True)
    else:
        words = (
            f"{give_or_take(room, system)} {unit}"
            if edge >= face
            else f"{plain(-room.value, 'length', system)} {unit} too far in"
        )
        wide = len(words) * TEXT * LETTER * WIDE
        if edge - face - room.expanded * scale > wide + 8:
            drawing.dimension_h(middle + 5, face, edge, words, bold=True, data_name=gap.letter)
        else:
            if edge - face > 14:
                drawing.dimension_h(middle, face, edge, "", data_name=gap.letter)
            drawing.words(max(edge, face - BLOCK + 2) + BLOCK + 6, middle + 4, words, bold=True)
    after = foot + ROW
    for want in gap.wanted:
        at = face + want.room * scale
        drawing.line(at, middle + 9, at, foot + 5, "paper", 4)
        dash = "" if want.firm else USUAL
        drawing.line(at, middle + 9, at, foot + 5, "ink", 1.6, dash, data_wanted=f"{want.room / _MM:.4f}")
        drawing.lines([(at, foot + 3), (at - 4, foot + 10), (at + 4, foot + 10)], "ink", 1, "", "ink", closed=True)
        words = _want_words(want.room, want.firm, system)
        right = at + 10 + len(words) * TEXT * LETTER * WIDE < WIDTH
        drawing.words(at + (8 if right else -8), foot + 13, words, "start" if right else "end")
        after = foot + ROW + 10
    return after + 6


def _want_words(room: float, firm: bool, system: str) -> str:
    return f"{'' if firm else 'usually '}at least {plain(room, 'length', system)} {show_unit('length', system)[0]}"


def _wants(gap: Gap, system: str) -> str:
    words = [_want_words(each.room, each.firm, system) for each in gap.wanted]
    return f"; wanted: {', '.join(words)}" if words else ""


# -- words ---------------------------------------------------------------------------------------------------------


def _notes(bay: Bay, system: str) -> list[str]:
    lines = []
    if bay.rock is not None:
        what = "the front of the engine" if bay.electric else "the fan"
        lines.append(
            f"Long dash, two dots at the fan: where {what} comes to when the engine rocks forward on its mounts by the "
            f"{show(bay.rock, 'length', system)} that the rule for its size reckons with."
        )
    else:
        lines.append("How far the engine rocks forward is not known: its size is not recorded.")
    lines.append(_mounts(bay, system))
    if any(each.room.sure and each.letter == "D" for each in bay.gaps) and bay.sag is not None and bay.sag.value > 0:
        lines.append("Long dash, two dots in D: once the mounts have sagged as far again.")
    if any(want.room > 0 for each in bay.gaps for want in each.wanted):
        lines.append("Mark under a bar: room wanted. Solid: less than this can condemn. Dotted: what is usual.")
    if not all(each.room.sure for each in bay.gaps):
        lines.append("Dashed, with a question mark: not known, and not to scale.")
    lines.append(SPREAD_SAYS)
    lines.append("C, D and E do not lie in the side view.")
    if not bay.sizes_known:
        lines.append("The sizes of fan or core are not recorded and drawn for show.")
    lines.append(_CAUTION)
    return lines


def _mounts(bay: Bay, system: str) -> str:
    """State of the mounts: every gap is worth no more than they are."""
    if bay.rubber in ("cracked", "soaked", "sheared"):
        words = f"\N{MULTIPLICATION SIGN} Mounts {bay.rubber}: the engine moves farther than the gaps at rest say"
    else:
        words = f"Mounts {bay.rubber}" if bay.rubber else "State of the mounts' rubber not known: look"
    held = {
        True: "; the engine is held down should one shear",
        False: "; nothing holds the engine down should one shear",
    }
    words += held.get(bay.held, "; whether the engine is held down is not known") if bay.held is not None else ""
    if bay.sag is not None:
        words += f"; sagged {show(bay.sag.value, 'length', system)}"
    return f"{words}."
