"""Plan of the pan joint: the gap that the seated flange leaves at every station, and the gasket's squeeze there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any, NamedTuple

from kb.drawing._details import scale_bar
from kb.drawing._svg import AXIS, ROW, WIDTH, Drawing, shorten, spread
from kb.drawing._values import plain
from kb.standards.seating import bolt_polygon
from kb.unit_show import show, show_unit

LEFT, RIGHT = 104.0, 256.0  # px: the flange; the words stand on both sides
TOP, TALL = 58.0, 420.0
LARGEST = 13.0  # px: radius that stands for the widest gap
_FACES = {"rail": "", "front_cover": "front cover", "rear_cover": "rear cover"}


class _Plan(NamedTuple):
    """From places on the flange (m) to the page: front at the top, right-hand side at the right."""

    x0: float
    y0: float
    left: float
    scale: float

    def at(self, station: Mapping[str, Any]) -> tuple[float, float]:
        return self.left + (station["y"] - self.y0) * self.scale, TOP + (station["x"] - self.x0) * self.scale


def seating_map(detail: Mapping[str, Any], *, system: str = "mm", prefix: str = "m") -> str:
    """SVG of `detail["stations"]`: dicts with id, x, y (m), bolt, passage, face, gap (m), squeeze (share of the free
    thickness), clamped, sealed, missing (m), in order around the flange. `system` as in `unit_show.show`.
    """
    stations: Sequence[Mapping[str, Any]] = detail.get("stations") or ()
    drawing = Drawing(prefix, "Map of the gasket's squeeze around the pan flange")
    drawing.words(10, 18, "Squeeze of the gasket, seen from above", bold=True, size=13)
    if not stations:
        drawing.words(10, 38, "No stations are recorded.")
        return drawing.render(50, "No stations are recorded.")
    drawing.words(10, 34, "Percent of its free height. Front at the top.")
    plan, bottom = _plan(stations)
    widest = max((_number(each.get("gap")) for each in stations), default=0.0)
    drawing.group(data_view="flange", data_px_per_mm=f"{plan.scale * 1e-3:.6f}")
    drawing.lines([plan.at(each) for each in stations], "line", 1.2, closed=True)
    _clamped_area(drawing, plan, stations)
    for each in stations:
        _symbol(drawing, *plan.at(each), each, widest)
    low = max(_words(drawing, plan, stations, True), _words(drawing, plan, stations, False), bottom + 14)
    drawing.close()
    y = _legend(drawing, low + 18, stations, widest, plan, system)
    said = _said(stations, system)
    for words in said[1:]:
        y = drawing.paragraph(10, y, words, WIDTH - 20, halo=False)
    return drawing.render(y + 2, " ".join([*said, *(_one(each, system) for each in stations)]))


def _number(value: Any) -> float:
    """A finite figure, 0 for anything else, so that a bare record can still be drawn."""
    return float(value) if isinstance(value, int | float) and math.isfinite(value) else 0.0


def _plan(stations: Sequence[Mapping[str, Any]]) -> tuple[_Plan, float]:
    xs, ys = [each["x"] for each in stations], [each["y"] for each in stations]
    long, wide = max(xs) - min(xs), max(ys) - min(ys)
    scale = min((RIGHT - LEFT) / wide if wide > 0 else math.inf, TALL / long if long > 0 else math.inf)
    scale = scale if math.isfinite(scale) else 1000.0
    left = (LEFT + RIGHT - wide * scale) / 2
    return _Plan(min(xs), min(ys), left, scale), TOP + long * scale


def _clamped_area(drawing: Drawing, plan: _Plan, stations: Sequence[Mapping[str, Any]]) -> None:
    bolts: Any = [SimpleNamespace(x=each["x"], y=each["y"], load=1.0) for each in stations if each.get("bolt")]
    corners = bolt_polygon(bolts)
    if len(corners) > 2:
        drawing.lines([plan.at({"x": x, "y": y}) for x, y in corners], "line", 0.8, AXIS, closed=True)


def _symbol(drawing: Drawing, x: float, y: float, station: Mapping[str, Any], widest: float) -> None:
    """Ring by gap; on it a bolt, a passage or a plain point; a cross where it does not seal."""
    gap = _number(station.get("gap"))
    radius = LARGEST * gap / widest if widest > 0 else 0.0
    if radius > 0:
        drawing.circle(x, y, radius, "accent", "band", 0.8, data_gap=f"{gap * 1e3:.4f}")
    if station.get("passage"):
        drawing.circle(x, y, 5.5, "ink", "paper", 1.4)
        drawing.circle(x, y, 2.5, "ink", "none", 1.2)
    elif station.get("bolt"):
        corners = [(x + 5 * math.cos(step * math.pi / 3), y + 5 * math.sin(step * math.pi / 3)) for step in range(6)]
        drawing.lines(corners, "ink", 1.2, "", "paper", closed=True)
        drawing.circle(x, y, 1.4, "ink", "ink", 0.5)
    else:
        drawing.circle(x, y, 2.2, "ink", "ink", 0.5)
    if not station.get("sealed", True):
        _cross(drawing, x, y)


def _cross(drawing: Drawing, x: float, y: float) -> None:
    for side in (-1, 1):
        drawing.line(x - 8, y - 8 * side, x + 8, y + 8 * side, "paper", 4)
    for side in (-1, 1):
        drawing.line(x - 8, y - 8 * side, x + 8, y + 8 * side, "bad", 2.4, data_mark="not-sealed")


def _percent(station: Mapping[str, Any]) -> str:
    return f"{100 * _number(station.get('squeeze')):.0f} %".replace("-", "\N{MINUS SIGN}")


def _words(drawing: Drawing, plan: _Plan, stations: Sequence[Mapping[str, Any]], right: bool) -> float:
    """Name and squeeze of the stations of one side, beside the flange; returns the height of the lowest."""
    centre = (LEFT + RIGHT) / 2
    chosen = [each for each in stations if (plan.at(each)[0] >= centre) == right]
    rows: list[tuple[Mapping[str, Any] | None, str]] = []
    for each in sorted(chosen, key=lambda each: plan.at(each)[1]):
        rows.append((each, f"{shorten(str(each['id']), 6)} {_percent(each)}"))
        if _loose(each):
            rows.append((None, "not clamped"))
        if not each.get("sealed", True):
            rows.append((None, "not sealed"))
    heights: list[float] = []
    for station, _ in rows:
        heights.append(plan.at(station)[1] if station is not None else heights[-1])
    places = spread(heights, ROW - 2, TOP - 8)
    column, anchor = (RIGHT + 24, "start") if right else (LEFT - 24, "end")
    for (station, words), put in zip(rows, places, strict=True):
        bad = station is None or not station.get("sealed", True)
        if station is not None:
            x, y = plan.at(station)
            away = 9 if right else -9
            begin = (x + away, y)
            if _hidden(plan, station, chosen, right):
                begin = (x + away / 2, y + (9 if put > y else -9))
            drawing.lines([begin, (column - (12 if right else -12), put), (column - (3 if right else -3), put)],
                          "line", 0.6)  # fmt: skip
        drawing.words(column, put + 4, words, anchor, bold=bad, colour="bad" if bad else "ink")
    return max(places, default=TOP) + 4


def _hidden(plan: _Plan, station: Mapping[str, Any], others: Sequence[Mapping[str, Any]], right: bool) -> bool:
    """Whether another symbol of this side stands between the station and its words."""
    x, y = plan.at(station)
    places = (plan.at(each) for each in others if each is not station)
    return any(abs(b - y) < 9 and (a > x if right else a < x) for a, b in places)


def _legend(
    drawing: Drawing, y: float, stations: Sequence[Mapping[str, Any]], widest: float, plan: _Plan, system: str
) -> float:
    scale_bar(drawing, 10, y - 4, plan.scale, system)
    y += ROW + 4
    entries: list[tuple[dict[str, Any], str]] = [({"bolt": True}, "bolt")]
    if any(each.get("passage") for each in stations):
        entries.append(({"passage": "x"}, "oil passage"))
    entries.append(({}, "land between"))
    entries.append(({"sealed": False}, "not sealed"))
    for at, (station, words) in enumerate(entries):
        x = 20 + 176 * (at % 2)
        _symbol(drawing, x, y - 4, station, 0.0)
        drawing.words(x + 16, y, words)
        if at % 2 or at == len(entries) - 1:
            y += ROW + 5
    if widest > 0:
        drawing.circle(24, y, LARGEST, "accent", "band", 0.8)
        drawing.words(
            44, y + 4, f"ring of this size: gap {plain(widest, 'length', system)} {show_unit('length', system)[0]}"
        )
        y += LARGEST + ROW + 4
    drawing.line(10, y - 4, 38, y - 4, "line", 0.8, AXIS)
    drawing.words(44, y, "edge of the area that the bolts clamp")
    return y + ROW + 6


def _said(stations: Sequence[Mapping[str, Any]], system: str) -> list[str]:
    """How many seal, and each that does not with what is missing."""
    open_ones = [each for each in stations if not each.get("sealed", True)]
    lines = [f"{len(stations)} stations, {len(stations) - len(open_ones)} sealed."]
    for each in open_ones:
        kind = f"oil passage {shorten(str(each['passage']), 40)}, " if each.get("passage") else ""
        face = _FACES.get(str(each.get("face", "")), str(each.get("face", "")))
        place = f" ({kind}{face})".replace(", )", ")") if kind or face else ""
        missing = _number(each.get("missing"))
        lack = f", {show(missing, 'length', system)} missing" if missing > 0 else ""
        clamp = ", outside the area that the bolts clamp" if _loose(each) else ""
        lines.append(f"\N{MULTIPLICATION SIGN} {shorten(str(each['id']), 40)}{place}: not sealed{lack}{clamp}.")
    return lines if open_ones else [*lines, "Every station is sealed."]


def _one(station: Mapping[str, Any], system: str) -> str:
    gap = show(_number(station.get("gap")), "length", system)
    return f"{shorten(str(station['id']), 40)}: gap {gap}, squeeze {_percent(station)}."


def _loose(station: Mapping[str, Any]) -> bool:
    """A passage beyond what the bolts clamp; land out there is judged by its squeeze alone."""
    return bool(station.get("passage")) and not station.get("clamped", True)
