"""One part with what is known of it and what is not: an outline where its kind has one, then a bar for every dimension.

In the outline dimensions carry letters, whose figures stand below (ISO 129-1 allows letters in place of figures), so
that nothing overlaps on a small screen. A hatched band shows the spread; what nobody recorded is dashed, with a "?".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any, NamedTuple

from kb.drawing._details import scale_bar
from kb.drawing._outlines import OUTLINES, Gap, Outline, Shape, Sizes
from kb.drawing._svg import AXIS, LETTER, NOT_KNOWN, ROW, TEXT, WIDTH, Drawing, shorten
from kb.drawing._values import K
from kb.measure import Dimension
from kb.records import KINDS, Feature
from kb.records.part import Part
from kb.unit_show import show, show_unit

LEFT, RIGHT = 10.0, WIDTH - 10.0
ROOM, TALL = 230.0, 220.0  # px: most that an outline takes
STEP = 24.0  # px from one dimension line to the next
MOST_ROWS = 30  # bars; the words count the rest
SAYS = (
    "Bars run from the least to the most that such a part can have. The mark is the value; \N{PLUS-MINUS SIGN} and the "
    "hatched band cover about 95 in 100. Dashed and ?: not known, measure it."
)


class Row(NamedTuple):
    """One line of what the part is: a dimension, or anything else in words (value None where it is not known)."""

    label: str
    feature: Feature
    value: Any


def part_drawing(part: Part, *, system: str = "mm", prefix: str = "part") -> str:
    """SVG of one part of any kind. `system`: mm, in or in64; `prefix` keeps its ids apart from other pictures'."""
    drawing = Drawing(prefix, f"{part.name}: what is known of its sizes")
    kind = part.kind.replace("_", " ")
    drawing.words(LEFT, 18, f"{kind.capitalize()}: known and not known", bold=True, size=13)
    outline = OUTLINES[part.kind](Sizes(part)) if part.kind in OUTLINES else None
    said: list[str] = []
    y = 26.0
    drawn: list[str] = []
    if outline is not None and (outline.shapes or outline.gaps):
        drawing.words(LEFT, 34, outline.view)
        y = _outline(drawing, outline, part, 44.0, system)
        drawn = [gap.name for gap in outline.gaps]
        for letter, gap in zip(_letters(), outline.gaps, strict=False):
            words = _words(part.facts.get(gap.name), KINDS[part.kind].features[gap.name], system)
            y = _legend(drawing, y, letter, gap.name, words, part.facts.get(gap.name) is None)
            said.append(f"{letter}, {gap.name.replace('_', ' ')}: {words}.")
        y += 6
    rows = list(_rows(part, drawn, plain=outline is None))
    for row in rows[:MOST_ROWS]:
        y, words = _bar(drawing, y + ROW, row, system)
        said.append(words)
    if not rows and not drawn:
        said.append("Nothing of this kind of part is measured.")
        y = drawing.paragraph(LEFT, y + ROW, said[-1], RIGHT - LEFT)
    if len(rows) > MOST_ROWS:
        said.append(f"{len(rows) - MOST_ROWS} more stand in the list only.")
        y = drawing.paragraph(LEFT, y + ROW + 4, said[-1], RIGHT - LEFT)
    if any(row.feature.sort == "dimension" for row in rows) or drawn:
        y = drawing.paragraph(LEFT, y + ROW + 6, SAYS, RIGHT - LEFT)
    return drawing.render(y + 2, " ".join(said))


def _letters() -> Iterable[str]:
    return "ABCDEFGHJKLMNPQRSTUVWXYZ"  # without I and O, which read as figures


def _words(value: Any, feature: Feature, system: str) -> str:
    """The value with its spread, or a question mark."""
    if value is None:
        return "? (not known)"
    if isinstance(value, Dimension):
        words = show(value.value, feature.quantity, system)
        if value.u:
            apart = "temperature_difference" if feature.quantity == "temperature" else feature.quantity
            words += f" \N{PLUS-MINUS SIGN}{_spread(K * value.u, apart, system)}"
        return f"{words}, readings disagree" if value.contradiction else words
    if feature.sort == "position":
        return show(value, feature.quantity, system)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, frozenset):
        return ", ".join(sorted(each.replace("_", " ") for each in value)) or "none"
    if isinstance(value, tuple):
        return f"{len(value)} recorded"
    return str(value).replace("_", " ")


def _spread(spread: float, quantity: str, system: str) -> str:
    """A spread to two figures, in the unit of the value."""
    if quantity == "pressure":  # its unit goes by its size
        return show(float(f"{spread:.2g}"), quantity, system)
    unit, size = show_unit(quantity, system)
    return f"{float(f'{spread / size:.2g}'):g} {unit}".rstrip()


# -- the outline -----------------------------------------------------------------------------------------------------


def _outline(drawing: Drawing, outline: Outline, part: Part, top: float, system: str) -> float:
    """The shapes to one scale with their dimension lines round them; returns where the page goes on."""
    points = [
        (x + dx, y + dy)
        for shape in outline.shapes
        for x, y in shape.points
        for dx, dy in ((-shape.radius, -shape.radius), (shape.radius, shape.radius))
    ]
    points += [(place, gap.start) for gap in outline.gaps if gap.side in ("top", "bottom") for place in gap[2:4]]
    points += [(gap.start, place) for gap in outline.gaps if gap.side in ("left", "right") for place in gap[2:4]]
    x0, x1 = min(x for x, _ in points), max(x for x, _ in points)
    y0, y1 = min(y for _, y in points), max(y for _, y in points)
    room = {side: STEP * sum(gap.side == side for gap in outline.gaps) for side in ("left", "right", "top", "bottom")}
    wide = RIGHT - LEFT - room["left"] - room["right"] - 16
    scale = min(wide / max(x1 - x0, 1e-6), TALL / max(y1 - y0, 1e-6))
    left = LEFT + room["left"] + 8 + (wide - (x1 - x0) * scale) / 2
    head = top + room["top"] + 22

    def at(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * scale, head + (y - y0) * scale

    drawing.group(data_view="part", data_px_per_mm=f"{scale * 1e-3:.6f}")
    for a, b in outline.axes:
        drawing.line(*at(*a), *at(*b), "line", 0.7, AXIS)
    for shape in outline.shapes:
        _shape(drawing, shape, at, scale)
    for x, y, words in outline.names:
        px, py = at(x, y)
        half = len(words) * TEXT * LETTER / 2
        drawing.words(min(max(px, LEFT + half), RIGHT - half), py - 4, words, "middle")
    edges = {"left": left, "right": left + (x1 - x0) * scale, "top": head, "bottom": head + (y1 - y0) * scale}
    used = dict.fromkeys(edges, 0)
    for letter, gap in zip(_letters(), outline.gaps, strict=False):
        used[gap.side] += 1
        out = 6 + STEP * (used[gap.side] - 0.5)
        _gap(drawing, letter, gap, part.facts.get(gap.name), edges, out, at, scale)
    drawing.close()
    low = edges["bottom"] + room["bottom"] + ROW + 6
    scale_bar(drawing, LEFT, low, scale, system)
    return low + ROW + 6


def _shape(drawing: Drawing, shape: Shape, at: Callable[[float, float], tuple[float, float]], scale: float) -> None:
    small = 0 < shape.radius * scale < 8
    dash = "" if shape.sure else "2 2" if small else NOT_KNOWN
    if shape.radius:
        drawing.circle(*at(*shape.points[0]), shape.radius * scale, "ink", shape.fill, shape.width, dash)
    else:
        drawing.lines([at(*each) for each in shape.points], "ink", shape.width, dash, shape.fill, shape.closed)


def _gap(
    drawing: Drawing,
    letter: str,
    gap: Gap,
    value: Any,
    edges: dict[str, float],
    out: float,
    at: Callable[[float, float], tuple[float, float]],
    scale: float,
) -> None:
    """One dimension line outside the shapes, with its letter and the band of its spread."""
    dash = "" if value is not None else NOT_KNOWN
    band = max(1.0, 2 * K * value.u * scale) if isinstance(value, Dimension) and value.u else 0.0
    name = letter if value is not None else f"{letter} ?"
    if gap.side in ("left", "right"):
        sign = 1 if gap.side == "right" else -1
        x = edges[gap.side] + sign * out
        ends = [at(gap.start, each) for each in (gap.first, gap.second)]
        for px, py in ends:
            drawing.line(px + sign * 2, py, x + sign * 3, py, "line", 0.7)
        if band:
            drawing.rect(x - 4, ends[1][1] - band / 2, 8, band, "accent", "band", 0.5, data_band=f"{K * value.u:.7f}")
        drawing.dimension_v(x, ends[0][1], ends[1][1], dash=dash, data_name=gap.name)
        middle = (ends[0][1] + ends[1][1]) / 2 + 4
        if abs(ends[0][1] - ends[1][1]) < 30:
            middle = min(ends[0][1], ends[1][1]) - 6
        drawing.words(x - 4, middle, name, "end", bold=True)
        return
    sign = 1 if gap.side == "bottom" else -1
    y = edges[gap.side] + sign * out
    ends = [at(each, gap.start) for each in (gap.first, gap.second)]
    for px, py in ends:
        drawing.line(px, py + sign * 2, px, y + sign * 3, "line", 0.7)
    if band:
        drawing.rect(ends[1][0] - band / 2, y - 4, band, 8, "accent", "band", 0.5, data_band=f"{K * value.u:.7f}")
    first, second = sorted((ends[0][0], ends[1][0]))
    if value is not None:
        drawing.dimension_h(y, first, second, name, bold=True, data_name=gap.name)
        return
    drawing.line(first, y, second, y, "ink", 0.8, NOT_KNOWN, data_from=first, data_to=second, data_name=gap.name)
    drawing.arrow(first, y, math.pi)
    drawing.arrow(second, y, 0.0)
    drawing.words((first + second) / 2, y - 4, name, "middle", bold=True)


def _legend(drawing: Drawing, y: float, letter: str, name: str, words: str, lacking: bool) -> float:
    drawing.words(LEFT, y, letter, bold=True)
    text = f"{name.replace('_', ' ')}: {words}"
    return drawing.paragraph(LEFT + 18, y, text, RIGHT - LEFT - 18, colour="open" if lacking else "ink") + 1


# -- bars ------------------------------------------------------------------------------------------------------------


def _rows(part: Part, drawn: Iterable[str], *, plain: bool) -> Iterable[Row]:
    """What is left of the part's features; with `plain`, what is no dimension too."""
    done = set(drawn)
    for name, feature in KINDS[part.kind].features.items():
        if name in done:
            continue
        value = part.facts.get(name)
        label = name.replace("_", " ")
        if feature.sort == "dimension" or (plain and feature.item is None):
            yield Row(label, feature, value)
        elif feature.item is not None and plain:
            yield Row(label, feature, value)
            for entry in value or ():
                for inner, deep in feature.item.features.items():
                    if deep.sort == "dimension" and inner in entry:
                        yield Row(f"{entry['id']}, {inner.replace('_', ' ')}", deep, entry[inner])


def _bar(drawing: Drawing, y: float, row: Row, system: str) -> tuple[float, str]:
    """One line of words, and under a dimension its bar; returns where it ends, and the words."""
    words = _words(row.value, row.feature, system)
    said = f"{shorten(row.label, 60)}: {words}"
    lacking = row.value is None
    y = drawing.paragraph(LEFT, y, said, RIGHT - LEFT, colour="open" if lacking else "ink") - ROW
    low_high = row.feature.plausible
    if row.feature.sort != "dimension" or low_high is None:
        return y, f"{said}."
    low, high = low_high
    top, tall = y + 5, 11.0
    if lacking:
        drawing.rect(LEFT, top, RIGHT - LEFT, tall, "open", "none", 1.0, NOT_KNOWN, data_bar="not known")
        drawing.words(WIDTH / 2, top + 10, "?", "middle", bold=True, colour="open")
        return top + tall, f"{said}; such a part has {_span(row.feature, system)}."
    value: Dimension = row.value
    reach = max(K * value.u, 0.0)
    low, high = min(low, value.value - reach), max(high, value.value + reach)

    def place(figure: float) -> float:
        return LEFT + (figure - low) / ((high - low) or 1.0) * (RIGHT - LEFT)

    drawing.rect(LEFT, top, RIGHT - LEFT, tall, "line", "none", 0.8, data_bar="known")
    if value.u:
        wide = max(1.0, place(value.value + reach) - place(value.value - reach))
        drawing.rect(place(value.value) - wide / 2, top + 1, wide, tall - 2, "accent", "band", 0.5)
    drawing.line(place(value.value), top - 2, place(value.value), top + tall + 2, "ink", 2.0)
    return top + tall, f"{said}."


def _span(feature: Feature, system: str) -> str:
    low, high = feature.plausible or (0.0, 0.0)
    return f"{show(low, feature.quantity, system)} to {show(high, feature.quantity, system)}"


__all__ = ["part_drawing"]
