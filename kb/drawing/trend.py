"""One reading over several starts: the figures with their errors, and the bands in which they should lie."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from kb.chance import FITS, NOT
from kb.drawing._svg import BOLD, ROW, USUAL, WIDTH, Drawing, wrap
from kb.gauges import CODE
from kb.ready.bands import Band, BandFinding, Series, half_of, value_of
from kb.say.bands import figure_words, series_title, trend_words
from kb.unit_show import show_unit

LEFT, RIGHT = 46.0, WIDTH - 16.0
TALL = 150.0
_MARK = 5.0


def trend(shown: Series, *, system: str = "mm", prefix: str = "t") -> str:
    """SVG of a series. The figures stand at their starts in order, whatever time lay between.

    Hatched: the strictest band beyond the ideal that applies. Solid edges can condemn, dotted ones only say what is
    usual. Marks: circle fits, square does not, diamond cannot be told.
    """
    found = shown.found
    drawing = Drawing(prefix, series_title(shown))
    y = 18.0
    for line in wrap(series_title(shown), WIDTH - 28, 13 * BOLD):
        drawing.words(14, y, line, bold=True, size=13)
        y += 17
    summary = trend_words(shown, system)
    for words in summary:
        y = drawing.paragraph(14, y, words, WIDTH - 28)
    top = y + 8
    foot = top + TALL
    quantity = found[0].reading.quantity
    low, high = _range(found)
    drawn = _Frame(top, foot, low, high, len(found))
    _axis(drawing, drawn, quantity, system)
    for number, each in enumerate(found):
        _bands(drawing, drawn, number, each)
    points = [(drawn.x(number), drawn.y(value_of(each))) for number, each in enumerate(found)]
    drawing.lines(points, "accent", 1.6)
    for number, each in enumerate(found):
        _point(drawing, drawn, number, each, system)
    drawing.words(LEFT, foot + 2 * ROW + 2, "start")
    end = foot + 3 * ROW + 6
    end = drawing.paragraph(14, end, _legend(found), WIDTH - 28, colour="line", halo=False)
    told = [f"start {each.reading.start or '?'}: {each.reading.text or figure_words(each, system)}, {each.verdict}"
            for each in found]  # fmt: skip
    return drawing.render(end, " ".join([*summary, *(f"{words}." for words in told)]))


class _Frame(NamedTuple):
    top: float
    foot: float
    low: float
    high: float
    number: int

    @property
    def column(self) -> float:
        return (RIGHT - LEFT) / self.number

    def x(self, number: int) -> float:
        return LEFT + (number + 0.5) * self.column

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.foot - min(max(share, 0.0), 1.0) * (self.foot - self.top)


def _legend(found: Sequence[BandFinding]) -> str:
    bands = {band.id: band for each in found for band in each.bands if band.low is not None or band.high is not None}
    if not bands:
        return "No accepted band is recorded for this place."
    words = "Circle: fits. Square: does not fit. Diamond: cannot tell. "
    words += "Solid edge: can condemn. Dotted: what is usual, or from memory. "
    return words + " ".join(f"{band.tier.capitalize()}: {band.why}." for band in bands.values())


def _range(found: Sequence[BandFinding]) -> tuple[float, float]:
    """All figures with their errors, and the bounds that lie no farther off than three times their range or value."""
    low = min(value_of(each) - half_of(each) for each in found)
    high = max(value_of(each) + half_of(each) for each in found)
    reach = max(high - low, 0.6 * max(abs(low), abs(high)))
    bounds = [bound for each in found for band in each.bands for bound in (band.low, band.high) if bound is not None]
    near = [bound for bound in bounds if low - reach <= bound <= high + reach]
    low, high = min([low, *near]), max([high, *near])
    air = 0.08 * (high - low) or 0.1 * abs(high) or 1.0
    return low - air, high + air


def _axis(drawing: Drawing, drawn: _Frame, quantity: str, system: str) -> None:
    unit, scale = show_unit(quantity, system) if quantity not in (CODE, "temperature") else ("", 1.0)
    shift = 0.0
    if quantity == "temperature":
        unit, shift = "\N{DEGREE SIGN}C", 273.15
    for at in _ticks((drawn.low - shift) / scale, (drawn.high - shift) / scale):
        y = drawn.y(at * scale + shift)
        drawing.line(LEFT, y, RIGHT, y, "line", 0.4)
        drawing.words(LEFT - 5, y + 4, f"{at:g}", "end")
    drawing.words(LEFT - 5, drawn.top - 4, unit, "end", colour="line")
    drawing.lines([(LEFT, drawn.top), (LEFT, drawn.foot), (RIGHT, drawn.foot)], "ink", 1.4)


def _ticks(low: float, high: float) -> list[float]:
    """Three to six round figures between two values."""
    power = 10.0 ** math.floor(math.log10(high - low))
    step = next(each * power for each in (0.1, 0.2, 0.5, 1.0, 2.0) if (high - low) / (each * power) <= 6)
    first = math.ceil(low / step)
    return [round(number * step, 10) for number in range(first, math.floor(high / step) + 1)]


def _bands(drawing: Drawing, drawn: _Frame, number: int, each: BandFinding) -> None:
    left, right = LEFT + number * drawn.column, LEFT + (number + 1) * drawn.column
    figures = [band for band in each.bands if band.low is not None or band.high is not None]
    inner = [band for band in figures if band.tier != "low"] or figures
    if inner:
        high = min((band.high for band in inner if band.high is not None), default=drawn.high)
        low = max((band.low for band in inner if band.low is not None), default=drawn.low)
        a, b = drawn.y(high), drawn.y(low)
        if b > a:
            drawing.rect(
                left, a, right - left, b - a, "", "inside", 0.0, data_low=f"{low:.9g}", data_high=f"{high:.9g}"
            )
    for band in figures:
        for bound in (band.low, band.high):
            if bound is not None and drawn.low <= bound <= drawn.high:
                _edge(drawing, drawn, left, right, band, bound)


def _edge(drawing: Drawing, drawn: _Frame, left: float, right: float, band: Band, bound: float) -> None:
    y = drawn.y(bound)
    if band.may_condemn:
        drawing.line(left, y, right, y, "good" if band.tier == "low" else "bad", 1.8, data_band=band.id)
    else:
        drawing.line(left, y, right, y, "open", 1.4, USUAL, data_band=band.id)


def _point(drawing: Drawing, drawn: _Frame, number: int, each: BandFinding, system: str) -> None:
    value, half = value_of(each), half_of(each)
    x, y = drawn.x(number), drawn.y(value)
    if half:
        drawing.line(x, drawn.y(value - half), x, drawn.y(value + half), "ink", 1.0)
        for end in (value - half, value + half):
            drawing.line(x - 3, drawn.y(end), x + 3, drawn.y(end), "ink", 1.0)
    if each.verdict == FITS:
        drawing.circle(x, y, _MARK - 0.5, "good", "paper", 2.0, data_verdict=each.verdict)
    elif each.verdict == NOT:
        drawing.rect(x - _MARK, y - _MARK, 2 * _MARK, 2 * _MARK, "bad", "paper", 2.2, data_verdict=each.verdict)
    else:
        corners = [(x, y - _MARK - 2), (x + _MARK + 2, y), (x, y + _MARK + 2), (x - _MARK - 2, y)]
        drawing.lines(corners, "open", 2.2, "", "paper", closed=True, data_verdict=each.verdict)
    every = max(1, math.ceil(drawn.number / 10))
    if number % every == 0 or number == drawn.number - 1:
        drawing.line(x, drawn.foot, x, drawn.foot + 4, "ink", 1.0)
        drawing.words(x, drawn.foot + ROW, str(each.reading.start or "?"), "middle")
    if number in (0, drawn.number - 1) or each.verdict != FITS:
        above = drawn.y(value + half) - 7
        # Under the mark where there is no room over it.
        level = above if above > drawn.top + 8 else drawn.y(value - half) + 15
        anchor = "start" if number == 0 else "end" if number == drawn.number - 1 else "middle"
        reach = {"start": -_MARK, "end": _MARK, "middle": 0.0}[anchor]
        drawing.words(x + reach, level, figure_words(each, system), anchor, bold=each.verdict != FITS)
