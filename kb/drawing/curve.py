"""How the quantity of a finding spreads about its limits: a curve with the parts inside and outside hatched apart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from kb.drawing._svg import BOLD, ROW, USUAL, WIDTH, Drawing, shorten, spread, wrap
from kb.judge import Finding, LimitCheck
from kb.unit_show import show, show_unit

LEFT, RIGHT = 14.0, WIDTH - 14.0
TOP, TALL = 62.0, 110.0
POINTS = 240
_SORTS = {"trade": "trade page", "memory": "from memory", "practice": "common practice", "service": "service manual"}


class _Axis(NamedTuple):
    """The quantity along the page, SI."""

    low: float
    high: float

    def x(self, value: float) -> float:
        return LEFT + (value - self.low) / (self.high - self.low) * (RIGHT - LEFT)


def chance_curve(finding: Finding, *, system: str = "mm", prefix: str = "c") -> str:
    """SVG of the finding's quantity, its spread (normal approximation) and its limits.

    A single line where nothing is uncertain; a note where nothing was computed. The probabilities in words are the
    finding's own, never read off the curve. `system` as in `unit_show.show`.
    """
    drawing = Drawing(prefix, f"{finding.rule.asks} {finding.verdict}")
    y = 18.0
    for line in wrap(finding.rule.asks, RIGHT - LEFT, 13 * BOLD):
        drawing.words(LEFT, y, line, bold=True, size=13)
        y += 17
    if finding.quantity is None or not math.isfinite(finding.quantity):
        words = _not_computed(finding)
        y = drawing.paragraph(LEFT, y + 4, words, RIGHT - LEFT)
        return drawing.render(y, words)
    summary = _summary(finding, system)
    for words in summary:
        y = drawing.paragraph(LEFT, y, words, RIGHT - LEFT)
    top = y + 14
    foot = top + TALL
    u = finding.u or 0.0
    axis = _axis(finding.quantity, u, finding.checks)
    if u:
        _bell(drawing, finding, axis, u, top, foot)
    x = axis.x(finding.quantity)
    drawing.line(x, top - 4, x, foot, "accent", 2.0 if not u else 1.2, data_quantity=f"{finding.quantity:.9g}")
    drawing.line(LEFT, foot, RIGHT, foot, "ink", 1.2)
    low = _limits(drawing, finding, axis, top, foot, system)
    low = drawing.paragraph(LEFT, low + 4, _legend(finding, u), RIGHT - LEFT, colour="line", halo=False)
    limits = " ".join(f"{_name(check, finding, system)}." for check in finding.checks)
    return drawing.render(low, " ".join([*summary, limits]))


def _not_computed(finding: Finding) -> str:
    missing = "; ".join(
        f"{each.leaf.role.replace('_', ' ').replace(':', ' ')}: {each.leaf.feature.meaning}"
        for each in finding.drivers[:6]
    )
    return f"Not computed. Not known: {shorten(missing, 400)}." if missing else "Not computed."


def _percent(p: float) -> str:
    """A probability in words that never rounds to certainty."""
    if p in (0.0, 1.0):
        return f"{100 * p:.0f} %"
    if p < 0.001:
        return "under 0.1 %"
    return "over 99.9 %" if p > 0.999 else f"{100 * p:.1f} %"


def _spread(expanded: float, quantity: str, system: str) -> str:
    """A spread to two figures; `show` would take it for a place on a scale, which matters for temperatures."""
    word, size = show_unit(quantity, system)
    number = expanded / size
    places = max(0, 1 - math.floor(math.log10(number)))
    return f"{number:.{min(places, 12)}f} {word}".rstrip()


def _to_the_spread(value: float, expanded: float, quantity: str, system: str) -> tuple[str, str]:
    """Value and spread with as many decimals as two figures of the spread give; the unit stands behind the spread."""
    spread = _spread(expanded, quantity, system)
    places = len(spread.partition(" ")[0].partition(".")[2])
    figure = f"{value / show_unit(quantity, system)[1]:.{places}f}".replace("-", "\N{MINUS SIGN}")
    return figure, spread


def _summary(finding: Finding, system: str) -> list[str]:
    assert finding.quantity is not None
    at = f" at {finding.station}" if finding.station else ""
    quantity = finding.rule.quantity
    if finding.u and quantity != "temperature":
        figure, spread = _to_the_spread(finding.quantity, 2 * finding.u, quantity, system)
        words = f"{finding.verdict}: {figure} \N{PLUS-MINUS SIGN}{spread}{at} (95 in 100)"
    elif finding.u:
        words = f"{finding.verdict}: {show(finding.quantity, quantity, system)}{at}"
        words += f" \N{PLUS-MINUS SIGN}{_spread(2 * finding.u, quantity, system)} (95 in 100)"
    else:
        words = f"{finding.verdict}: {show(finding.quantity, quantity, system)}{at}"
    lines = [words]
    if finding.probability is not None and finding.u:
        lines.append(f"inside the limits that can condemn: {_percent(finding.probability)}")
        if finding.usual is not None and abs(finding.usual - finding.probability) > 5e-4:
            lines.append(f"inside the usual range too: {_percent(finding.usual)}")
    elif finding.because == "hopeless":
        lines.append("the best that any plausible value of what is missing could give")
    return lines


def _legend(finding: Finding, u: float) -> str:
    words = "Solid limit: can condemn. Dotted: usual range, from memory."
    if u:
        words = "Hatched one way: inside. Cross-hatched: outside. Curve: normal approximation. " + words
    return words


def _axis(quantity: float, u: float, checks: Sequence[LimitCheck]) -> _Axis:
    """Quantity, four standard uncertainties to both sides, and every limit, with some air."""
    bounds = [check.bound for check in checks if math.isfinite(check.bound)]
    low, high = min([quantity - 4 * u, *bounds]), max([quantity + 4 * u, *bounds])
    air = 0.08 * (high - low) or 0.5 * abs(quantity) or 1.0
    return _Axis(low - air, high + air)


def _bell(drawing: Drawing, finding: Finding, axis: _Axis, u: float, top: float, foot: float) -> None:
    mean = finding.quantity
    assert mean is not None

    def height(value: float) -> float:
        return foot - (foot - top) * math.exp(-(((value - mean) / u) ** 2) / 2)

    ends = [-math.inf, *sorted(check.bound for check in finding.checks), math.inf]
    reach_low, reach_high = max(axis.low, mean - 5 * u), min(axis.high, mean + 5 * u)
    for left, right in pairwise(ends):
        begin, end = max(left, reach_low), min(right, reach_high)
        if begin >= end:
            continue
        middle = (begin + end) / 2
        inside = all(_holds(check, middle) for check in finding.checks)
        steps = max(2, int(POINTS * (end - begin) / (reach_high - reach_low)))
        curve = [begin + (end - begin) * step / steps for step in range(steps + 1)]
        outline = [(axis.x(begin), foot), *((axis.x(at), height(at)) for at in curve), (axis.x(end), foot)]
        part = "inside" if inside else "outside"
        drawing.lines(outline, "", fill=part, closed=True, data_part=part)
    whole = [reach_low + (reach_high - reach_low) * step / POINTS for step in range(POINTS + 1)]
    drawing.lines([(axis.x(at), height(at)) for at in whole], "ink", 1.6)


def _holds(check: LimitCheck, value: float) -> bool:
    return value >= check.bound if check.limit.side == "least" else value <= check.bound


def _name(check: LimitCheck, finding: Finding, system: str) -> str:
    side = "at least" if check.limit.side == "least" else "at most"
    sort = check.limit.source.sort
    origin = f"your own: {shorten(check.own, 80)}" if check.own else _SORTS.get(sort, sort)
    return f"{side} {show(check.bound, finding.rule.quantity, system)} ({origin})"


def _limits(drawing: Drawing, finding: Finding, axis: _Axis, top: float, foot: float, system: str) -> float:
    """The limits as upright lines, each with a flag towards its good side and its words below."""
    y = foot + 2 * ROW + 7
    checks = sorted((each for each in finding.checks if math.isfinite(each.bound)), key=lambda each: each.bound)
    places = spread([axis.x(each.bound) for each in checks], 12.0)
    for number, (check, put) in enumerate(zip(checks, places, strict=True), start=1):
        x = axis.x(check.bound)
        stroke, dash = ("ink", "") if check.may_condemn else ("line", USUAL)
        drawing.line(x, top - 8, x, foot + 5, stroke, 1.6, dash, data_limit=f"{check.bound:.9g}")
        good = 1 if check.limit.side == "least" else -1
        drawing.line(x, top - 8, x + 10 * good, top - 8, stroke, 1.2)
        drawing.arrow(x + 10 * good, top - 8, 0.0 if good > 0 else math.pi, stroke, 5)
        drawing.lines([(x, foot + 5), (put, foot + 8)], "line", 0.6)
        drawing.words(put, foot + 18, number, "middle", bold=True)
        broken = ": broken" if check in finding.broken else ""
        for line in wrap(f"{number}: {_name(check, finding, system)}{broken}", RIGHT - LEFT):
            drawing.words(LEFT, y, line, bold=bool(broken))
            y += ROW
    return y
