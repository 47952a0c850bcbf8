"""One quantity on a scale of its own: limits as uprights, the value with its band, what lies outside cross-hatched."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from kb.chance import FITS, NOT
from kb.drawing._svg import LETTER, NOT_KNOWN, ROW, TEXT, USUAL, WIDTH, Drawing, wrap
from kb.drawing._values import K
from kb.finding import Finding
from kb.unit_show import show, show_unit

LEFT, RIGHT = 14.0, WIDTH - 14.0
_TALL = 12.0  # px: height of the scale's strip
_SIGNS = {FITS: ("\N{CHECK MARK}", "good"), NOT: ("\N{MULTIPLICATION SIGN}", "bad")}
READ = (
    "Each scale: the striped band is the value with its \N{PLUS-MINUS SIGN}, which covers about 95 in 100; the flag of "
    "a limit points to its good side; dotted limit: a usual range; cross-hatched: outside a limit that can condemn."
)


class Bound(NamedTuple):
    """A limit on the scale. least: the good side lies above it; firm: it can condemn."""

    value: float
    least: bool
    firm: bool


class Gauge(NamedTuple):
    """A quantity (SI) with its standard uncertainty and limits; value is None where it is not known.

    verdict: the word that is shown behind the value, or empty. missing: what is not known, in words.
    """

    name: str
    quantity: str
    value: float | None
    u: float
    bounds: tuple[Bound, ...]
    verdict: str = ""
    missing: str = ""


def gauge_of(finding: Finding, name: str) -> Gauge:
    """The scale of a finding, under a short name."""
    bounds = tuple(
        Bound(each.bound, each.limit.side == "least", each.may_condemn)
        for each in finding.checks
        if math.isfinite(each.bound)
    )
    known = finding.quantity is not None and finding.because not in ("missing", "hopeless")
    question = finding.question
    unknown = [question.leaves[at] for at in question.missing]
    missing = "; ".join(
        dict.fromkeys(
            f"{leaf.role.replace('_', ' ')}: {leaf.feature.meaning.partition(',')[0]}" for leaf in unknown[:3]
        )
    )
    return Gauge(
        name, finding.rule.quantity, finding.quantity if known else None, finding.u or 0.0, bounds, finding.verdict,
        missing or finding.words,
    )  # fmt: skip


def said(gauge: Gauge, system: str) -> str:
    """The scale in words."""
    words = gauge.name
    if gauge.value is None:
        return f"{words}: not known. Measure {gauge.missing}." if gauge.missing else f"{words}: not known."
    words += f": {amount(gauge, system)}"
    return f"{words}, {gauge.verdict}." if gauge.verdict else f"{words}."


def amount(gauge: Gauge, system: str) -> str:
    """Value and band, with the unit once."""
    assert gauge.value is not None
    word, size = show_unit(gauge.quantity, system)
    if not gauge.u:
        return show(gauge.value, gauge.quantity, system)
    number, spread = gauge.value / size, K * gauge.u / size
    places = min(max(0, 1 - math.floor(math.log10(spread))), 4)
    text = f"{round(number, places) or 0.0:.{places}f}".replace("-", "\N{MINUS SIGN}")
    return f"{text} \N{PLUS-MINUS SIGN}{spread:.{places}f} {word}".rstrip()


def draw_gauge(drawing: Drawing, y: float, gauge: Gauge, system: str) -> float:
    """The scale with its words above it, the first line with its foot at y; returns the foot of what comes next."""
    sign, colour = _SIGNS.get(gauge.verdict, ("?", "open") if gauge.verdict else ("", "ink"))
    head, _, value = said(gauge, system).rstrip(".").partition(": ")
    for line in wrap(head, RIGHT - LEFT):
        drawing.words(LEFT, y, line, bold=True)
        y += ROW
    for line in wrap(f"{sign} {value}".strip(), RIGHT - LEFT):
        drawing.words(LEFT, y, line, colour=colour)
        y += ROW
    bounds = sorted(set(gauge.bounds), key=lambda each: each.value)
    if gauge.value is None and not bounds:
        return y + 5
    places = [each.value for each in bounds]
    if gauge.value is not None:
        places += [gauge.value - 3 * gauge.u, gauge.value + 3 * gauge.u]
    low, high = min(places), max(places)
    air = 0.1 * (high - low) or 0.2 * abs(high) or 1e-3
    low, high = low - air, high + air

    def x(value: float) -> float:
        return LEFT + (value - low) / (high - low) * (RIGHT - LEFT)

    top, foot = y - 5, y - 5 + _TALL
    drawing.group(data_gauge=gauge.name, data_px_per_unit=f"{(RIGHT - LEFT) / (high - low):.6g}")
    for each in bounds:
        if each.firm:
            begin, end = (LEFT, x(each.value)) if each.least else (x(each.value), RIGHT)
            drawing.rect(begin, top, end - begin, _TALL, "", "outside")
    drawing.rect(LEFT, top, RIGHT - LEFT, _TALL, "line", "none", 0.8, "" if gauge.value is not None else NOT_KNOWN)
    for each in bounds:
        at, good = x(each.value), 1 if each.least else -1
        stroke, dash = ("ink", "") if each.firm else ("line", USUAL)
        drawing.line(at, top - 3, at, foot + 5, stroke, 1.6, dash, data_limit=f"{each.value:.9g}")
        drawing.arrow(at + 7 * good, top - 3, 0.0 if good > 0 else math.pi, stroke, 6)
    if gauge.value is not None:
        _value(drawing, x(gauge.value), (RIGHT - LEFT) / (high - low) * K * gauge.u, top, foot, gauge)
    y = _bound_words(drawing, [(x(each.value), each) for each in bounds], foot + 16, gauge, system)
    drawing.close()
    return y + ROW + 5


def _value(drawing: Drawing, x: float, half: float, top: float, foot: float, gauge: Gauge) -> None:
    if gauge.u:
        half = max(half, 0.5)
        drawing.rect(x - half, top + 2, 2 * half, _TALL - 4, "accent", "paper", 0.8)
        drawing.rect(x - half, top + 2, 2 * half, _TALL - 4, "accent", "band", 0.8, data_band=f"{K * gauge.u:.9g}")
    drawing.line(x, top - 1, x, foot + 1, "accent", 2.2, data_value=f"{gauge.value:.9g}")


def _bound_words(drawing: Drawing, bounds: Sequence[tuple[float, Bound]], y: float, gauge: Gauge, system: str) -> float:
    """Figures under the limits; one that would touch its neighbour stands a row lower. Returns the lowest foot."""
    ends: list[float] = []
    unit = show_unit(gauge.quantity, system)[0]
    for at, bound in bounds:
        words = show(bound.value, gauge.quantity, system).replace("-", "\N{MINUS SIGN}")
        if gauge.value is not None:  # its words above name the unit
            words = words.removesuffix(f" {unit}")
        half = len(words) * TEXT * LETTER / 2 + 5
        middle = min(max(at, LEFT - 12 + half), RIGHT + 12 - half)
        row = next((row for row, end in enumerate(ends) if middle - half >= end), len(ends))
        ends[row : row + 1] = [middle + half]
        drawing.words(middle, y + row * ROW, words, "middle")
    return y + max(len(ends) - 1, 0) * ROW
