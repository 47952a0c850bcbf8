"""Depression at the pump inlet over crank speed, hot and cold, against what the pump still fills against."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from kb.drawing._svg import WIDTH, Drawing
from kb.unit_show import show, show_unit

LEFT, RIGHT, TOP, FOOT = 46.0, WIDTH - 14.0, 58.0, 238.0
AIR = 101_325.0  # Pa: standard atmosphere, ISO 2533; no suction can be deeper
_DASHES = {"hot": "", "cold": "8 3"}
Curve = Sequence[tuple[float, float]]


def suction_graph(
    detail_hot: Mapping[str, Any] | None,
    detail_cold: Mapping[str, Any] | None,
    limit_pa: float | None,
    *,
    system: str = "mm",
    prefix: str = "g",
) -> str:
    """SVG of `detail["curve"]`, (rev/s, Pa) points by rising speed, hot and cold; either may be None or empty.

    limit_pa: depression that the pump still fills against, None if not known. `system` as in `unit_show.show`.
    """
    drawing = Drawing(prefix, "Depression at the pump inlet over engine speed")
    curves = {"hot": _curve(detail_hot), "cold": _curve(detail_cold)}
    drawn = {name: curve for name, curve in curves.items() if curve}
    pressure, pascals = show_unit("pressure", system)
    drawing.words(10, 18, "Suction at the pump inlet", bold=True, size=13)
    if not drawn:
        words = "Not computed: no curve is known, neither hot nor cold."
        return drawing.render(drawing.paragraph(10, 38, words, WIDTH - 20), words)
    drawing.words(10, 34, f"{pressure} below atmosphere, over engine speed")
    fastest = max(curve[-1][0] for curve in drawn.values()) or 1.0
    peak = max(p for curve in drawn.values() for _, p in curve)
    tallest = max(min(peak, max(AIR, 1.2 * (limit_pa or 0.0))), 1.35 * (limit_pa or 0.0), 1.0) * 1.05

    def place(speed: float, pa: float) -> tuple[float, float]:
        return LEFT + speed / fastest * (RIGHT - LEFT), FOOT - pa / tallest * (FOOT - TOP)

    _axes(drawing, fastest, tallest, pascals)
    said = []
    allowed, words = 0.0, ""
    if limit_pa is not None and math.isfinite(limit_pa):
        _, y = place(0, limit_pa)
        drawing.rect(LEFT, TOP, RIGHT - LEFT, y - TOP, "", "over")
        drawing.line(LEFT, y, RIGHT, y, "bad", 1.8, "2 3", data_limit=f"{limit_pa:.6g}")
        words = f"the pump allows {show(limit_pa, 'pressure', system)}"
        allowed = y + 14 if y < FOOT - 20 else y - 5
        said.append(f"{words.capitalize()}.")
    else:
        said.append("What the pump allows is not known.")
    drawing.clip(LEFT, TOP, RIGHT - LEFT, FOOT - TOP)
    for name, curve in drawn.items():
        drawing.lines([place(*point) for point in curve], "accent", 2.2, _DASHES[name], data_curve=name)
    drawing.close()
    if words:
        # Under the limit the page is free before the curves have risen, or after they have crossed it.
        crossed = any(crossing(curve, limit_pa or 0.0) is not None for curve in drawn.values())
        drawing.words(RIGHT - 8 if crossed else LEFT + 8, allowed, words, "end" if crossed else "start")
    for name, curve in drawn.items():
        inside = [point for point in curve if point[1] <= tallest]
        x, y = place(*(inside[-1] if inside else (0.0, tallest)))
        drawing.words(min(x, RIGHT) - 10, max(y - 6, TOP + 12), name, "end", bold=True)
    y = FOOT + 42
    for name, curve in drawn.items():
        words = _told(name, curve, limit_pa, system)
        said.append(words)
        drawing.line(10, y - 4, 38, y - 4, "accent", 2.2, _DASHES[name])
        y = drawing.paragraph(44, y, words, WIDTH - 54)
    if peak > tallest:
        said.append("A curve that leaves the picture asks for more than the air can press: the pump draws bubbles.")
        y = drawing.paragraph(10, y, said[-1], WIDTH - 20)
    if limit_pa is None:
        y = drawing.paragraph(10, y, "What the pump allows is not known: measure, or set your own limit.", WIDTH - 20)
    return drawing.render(y, " ".join(said))


def _curve(detail: Mapping[str, Any] | None) -> Curve:
    points = (detail or {}).get("curve") or ()
    return [(float(speed), float(pa)) for speed, pa in points if math.isfinite(speed) and math.isfinite(pa)]


def crossing(curve: Curve, limit_pa: float) -> float | None:
    """Speed (rev/s) at which the curve first passes the limit, between its points in a straight line; None if never."""
    before: tuple[float, float] | None = None
    for speed, pa in curve:
        if pa > limit_pa:
            if before is None or pa == before[1]:
                return speed
            return before[0] + (speed - before[0]) * (limit_pa - before[1]) / (pa - before[1])
        before = speed, pa
    return None


def _told(name: str, curve: Curve, limit_pa: float | None, system: str) -> str:
    last = curve[-1]
    words = f"{name}: {show(last[1], 'pressure', system)} at {show(last[0], 'speed', system)}"
    if limit_pa is None:
        return words
    passed = crossing(curve, limit_pa)
    if passed is None:
        return f"{words}, never over the limit"
    return f"{words}, over the limit from {round(passed * 60):d} rpm on"


def _steps(top: float) -> list[float]:
    """Round figures from 0 to `top`, four to eight of them."""
    power = 10 ** math.floor(math.log10(top))
    step = next(each * power for each in (0.1, 0.2, 0.25, 0.5, 1, 2) if top / (each * power) <= 7)
    return [step * count for count in range(int(top / step) + 1)]


def _axes(drawing: Drawing, fastest: float, tallest: float, pascals: float) -> None:
    for figure in _steps(tallest / pascals):
        y = FOOT - figure * pascals / tallest * (FOOT - TOP)
        drawing.line(LEFT, y, RIGHT, y, "line", 0.4)
        drawing.words(LEFT - 5, y + 4, f"{figure:g}", "end")
    for figure in _steps(fastest * 60):
        x = LEFT + figure / 60 / fastest * (RIGHT - LEFT)
        drawing.line(x, FOOT, x, FOOT + 4, "ink", 1)
        if x < RIGHT - 26 or figure == 0:
            drawing.words(x, FOOT + 16, f"{figure:g}", "middle")
    drawing.words(RIGHT, FOOT + 16, "rpm", "end")
    drawing.lines([(LEFT, TOP), (LEFT, FOOT), (RIGHT, FOOT)], "ink", 1.4)
