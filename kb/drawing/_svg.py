"""A small builder of SVG text: everything escaped, every length in pixels of a page 360 wide.

Colour comes twice: as presentation attributes, so that the picture stands alone in a file, and as class names that
`drawing.css` binds to the variables --mm-ink, --mm-paper, --mm-line, --mm-accent, --mm-good, --mm-bad, --mm-open and
--mm-hatch. No `style` attribute, style block, script or outside reference is ever written, so that a strict content
security policy has nothing to block.

Lines follow ISO 128 (thin continuous for dimensions and hatching, wide for edges, dashed for what is not certain, long
dash and two dots for what moves) and dimensions ISO 129 (filled arrowheads, figure above the line).
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from html import escape
from typing import Any

WIDTH = 360.0
TEXT = 11.5  # smallest letters, px on a page 360 wide: 11 on a phone of 390 px, inside frame and card
LETTER = 0.56  # width of an average letter over its height, of a wide sans serif
BOLD = 1.15  # width of a bold letter over that of a plain one
ROW = 15.0  # from one line of words to the next

PALETTE = {
    "ink": "#1c2326",
    "paper": "#ffffff",
    "line": "#566167",
    "accent": "#0b5c8a",
    "good": "#1f6f43",
    "bad": "#a3261f",
    "open": "#7a5200",
    "hatch": "#69747a",
}

NOT_KNOWN = "5 3"  # dashed: the place is not known
MOVING = "12 3 2 3 2 3"  # long dash, two dots: the way of a moving part
AXIS = "12 3 2 3"  # long dash, dot
USUAL = "2 3"  # dotted: a usual range, which never condemns

# name: (size of the tile in px, lines in it, colour)
_HATCHES: dict[str, tuple[float, tuple[tuple[float, float, float, float], ...], str]] = {
    "metal": (6, ((-1, 7, 7, -1), (-1, 1, 1, -1), (5, 7, 7, 5)), "hatch"),
    "other_metal": (6, ((-1, -1, 7, 7), (5, -1, 7, 1), (-1, 5, 1, 7)), "hatch"),
    "soft": (5, ((0, 0, 5, 5), (0, 5, 5, 0)), "hatch"),
    "band": (4, ((2, 0, 2, 4),), "accent"),
    "inside": (8, ((-1, 9, 9, -1),), "good"),
    "over": (14, ((0, 0, 14, 14), (0, 14, 14, 0)), "bad"),
    "outside": (5, ((0, 0, 5, 5), (0, 5, 5, 0)), "bad"),
}

_ILLEGAL = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def clean(words: object) -> str:
    """Any text as XML character data: marks escaped, what XML forbids replaced."""
    return escape(_ILLEGAL.sub("\N{REPLACEMENT CHARACTER}", str(words)), quote=True)


def figure(value: float) -> str:
    """A coordinate with at most four decimals; ValueError for what no drawing can place."""
    if not math.isfinite(value):
        raise ValueError(f"a coordinate of {value!r} cannot be drawn")
    plain = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if plain in ("-0", "") else plain


def shorten(words: str, most: int) -> str:
    """`words` cut to `most` letters, with a mark that something was cut."""
    return words if len(words) <= most else words[: max(0, most - 1)].rstrip() + "\N{HORIZONTAL ELLIPSIS}"


def wrap(words: str, width: float, size: float = TEXT) -> list[str]:
    """Lines that fit `width` px; a word longer than a line is broken."""
    most = max(4, int(width / (size * LETTER)))
    lines = [""]
    for word in words.split():
        while len(word) > most:
            lines.append(word[:most])
            word = word[most:]
        if len(lines[-1]) + len(word) + 1 > most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return [line for line in lines if line]


def spread(wanted: Sequence[float], apart: float, least: float = -math.inf) -> list[float]:
    """Places at least `apart` from one another and from `least` on, in the order of `wanted`, near to it."""
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    groups: list[list[float]] = []  # [sum of wanted starts, members]: neighbours that touch move together
    for index in order:
        groups.append([wanted[index], 1.0])
        while len(groups) > 1 and _end(groups[-2], apart) > _start(groups[-1], apart):
            total, count = groups.pop()
            groups[-1] = [groups[-1][0] + total, groups[-1][1] + count]
    placed = [0.0] * len(wanted)
    members = iter(order)
    for group in groups:
        for step in range(int(group[1])):
            placed[next(members)] = _start(group, apart) + step * apart
    for index in order:
        placed[index] = max(placed[index], least)
        least = placed[index] + apart
    return placed


def _start(group: list[float], apart: float) -> float:
    return group[0] / group[1] - (group[1] - 1) * apart / 2


def _end(group: list[float], apart: float) -> float:
    return _start(group, apart) + group[1] * apart


class Drawing:
    """One picture under way. `prefix` keeps its ids apart from those of other pictures on the page."""

    def __init__(self, prefix: str, title: str, *, width: float = WIDTH) -> None:
        self.prefix = re.sub(r"[^A-Za-z0-9_-]", "-", prefix) or "drawing"
        if not self.prefix[0].isalpha():
            self.prefix = f"d{self.prefix}"
        self.title = shorten(title, 160)
        self.width = width
        self._body: list[str] = []
        self._hatches: dict[str, None] = {}
        self._clips: list[str] = []

    # -- shapes --------------------------------------------------------------------------------------------------

    def add(self, tag: str, words: object = None, **attributes: Any) -> None:
        """One element. Names take `_` for `-`; None leaves an attribute out; floats are coordinates."""
        written = []
        for name, value in attributes.items():
            if value is None or value == "":
                continue
            plain = figure(value) if isinstance(value, int | float) else clean(value)
            written.append(f' {name.rstrip("_").replace("_", "-")}="{plain}"')
        close = "/>" if words is None else f">{clean(words)}</{tag}>"
        self._body.append(f"<{tag}{''.join(written)}{close}")

    def group(self, **attributes: str) -> None:
        """Open a group; `close` ends it."""
        given = "".join(f' {name.rstrip("_").replace("_", "-")}="{clean(value)}"' for name, value in attributes.items())
        self._body.append(f"<g{given}>")

    def close(self) -> None:
        self._body.append("</g>")

    def clip(self, x: float, y: float, width: float, height: float) -> None:
        """Open a group that shows only what lies in this rectangle."""
        name = f"{self.prefix}-clip{len(self._clips)}"
        self._clips.append(
            f'<clipPath id="{name}"><rect x="{figure(x)}" y="{figure(y)}" width="{figure(width)}" '
            f'height="{figure(height)}"/></clipPath>'
        )
        self.group(clip_path=f"url(#{name})")

    def _paint(self, stroke: str, width: float, dash: str, fill: str) -> dict[str, Any]:
        """Attributes and classes of a stroke colour and a fill: a colour's name, `none`, or a hatch's name."""
        classes = [f"mm-s-{stroke}"] if stroke else []
        paint: dict[str, Any] = {"stroke": PALETTE[stroke] if stroke else None}
        paint |= {"stroke_width": width, "stroke_dasharray": dash} if stroke else {}
        if fill in _HATCHES:
            self._hatches[fill] = None
            paint["fill"] = f"url(#{self.prefix}-{fill})"
        elif fill in PALETTE:
            paint["fill"] = PALETTE[fill]
            classes.append(f"mm-f-{fill}")
        else:
            paint["fill"] = "none"
        return {"class_": " ".join(classes), **paint}

    def line(
        self, x1: float, y1: float, x2: float, y2: float, stroke: str = "ink", width: float = 1.0, dash: str = "",
        **more: Any,
    ) -> None:  # fmt: skip
        self.add("line", x1=x1, y1=y1, x2=x2, y2=y2, **self._paint(stroke, width, dash, "none"), **more)

    def rect(
        self, x: float, y: float, width: float, height: float, stroke: str = "ink", fill: str = "none",
        line: float = 1.0, dash: str = "", **more: Any,
    ) -> None:  # fmt: skip
        self.add("rect", x=x, y=y, width=width, height=height, **self._paint(stroke, line, dash, fill), **more)

    def circle(
        self, x: float, y: float, r: float, stroke: str = "ink", fill: str = "none", line: float = 1.0, dash: str = "",
        **more: Any,
    ) -> None:  # fmt: skip
        self.add("circle", cx=x, cy=y, r=r, **self._paint(stroke, line, dash, fill), **more)

    def lines(
        self, points: Sequence[tuple[float, float]], stroke: str = "ink", width: float = 1.0, dash: str = "",
        fill: str = "none", closed: bool = False, **more: Any,
    ) -> None:  # fmt: skip
        """A chain of straight lines, or a closed shape."""
        places = " ".join(f"{figure(x)},{figure(y)}" for x, y in points)
        tag = "polygon" if closed else "polyline"
        self.add(tag, points=places, **self._paint(stroke, width, dash, fill), stroke_linejoin="round", **more)

    def words(
        self, x: float, y: float, words: object, anchor: str = "start", size: float = TEXT, colour: str = "ink",
        bold: bool = False, halo: bool = True,
    ) -> None:  # fmt: skip
        """Text with its foot at y; `halo` lays paper round the letters so that they read over hatching."""
        paint: dict[str, Any] = {"class_": f"mm-f-{colour}", "fill": PALETTE[colour]}
        if halo:
            paint["class_"] += " mm-s-paper"
            paint |= {"stroke": PALETTE["paper"], "stroke_width": 3.0, "paint_order": "stroke"}
            paint["stroke_linejoin"] = "round"
        self.add(
            "text", words, x=x, y=y, font_size=size, text_anchor=None if anchor == "start" else anchor,
            font_weight="bold" if bold else None, **paint,
        )  # fmt: skip

    def paragraph(self, x: float, y: float, words: str, width: float, **more: Any) -> float:
        """Words in lines from y downwards; returns where the next line would stand."""
        for line in wrap(words, width, more.get("size", TEXT)):
            self.words(x, y, line, **more)
            y += ROW
        return y

    # -- dimensions (ISO 129) ------------------------------------------------------------------------------------

    def arrow(self, x: float, y: float, towards: float, stroke: str = "ink", size: float = 6.0) -> None:
        """A filled arrowhead with its tip at (x, y), pointing in the direction `towards` (radians, y down)."""
        points = [(x, y)]
        for side in (-1, 1):
            turned = towards + math.pi + side * math.radians(15)
            points.append((x + size * math.cos(turned), y + size * math.sin(turned)))
        self.lines(points, stroke, 0.5, "", stroke, closed=True)

    def dimension_v(self, x: float, top: float, bottom: float, *, dash: str = "", **more: Any) -> None:
        """Vertical dimension line between two heights; the arrows stand outside where there is no room between."""
        top, bottom = min(top, bottom), max(top, bottom)
        inside = bottom - top >= 14
        reach = 0.0 if inside else 10.0
        self.line(x, top - reach, x, bottom + reach, "ink", 0.8, dash, data_from=top, data_to=bottom, **more)
        self.arrow(x, top, -math.pi / 2 if inside else math.pi / 2)
        self.arrow(x, bottom, math.pi / 2 if inside else -math.pi / 2)

    def dimension_h(self, y: float, left: float, right: float, words: str, *, bold: bool = False, **more: Any) -> None:
        """Horizontal dimension line with the figure above it; arrows stand outside where there is no room between."""
        left, right = min(left, right), max(left, right)
        inside = right - left >= 14
        reach = 0.0 if inside else 10.0
        self.line(left - reach, y, right + reach, y, "ink", 0.8, data_from=left, data_to=right, **more)
        self.arrow(left, y, math.pi if inside else 0.0)
        self.arrow(right, y, 0.0 if inside else math.pi)
        if words:
            self.words((left + right) / 2, y - 4, words, "middle", bold=bold)

    def dimension_out(self, y: float, left: float, right: float, end: float, **more: Any) -> None:
        """Horizontal dimension line of a gap too narrow for its figure: it runs on to `end`, under the figure there."""
        inside = right - left >= 14
        self.line(left - (0.0 if inside else 10.0), y, end, y, "ink", 0.8, data_from=left, data_to=right, **more)
        self.arrow(left, y, math.pi if inside else 0.0)
        self.arrow(right, y, 0.0 if inside else math.pi)

    # -- the whole -----------------------------------------------------------------------------------------------

    def render(self, height: float, description: str) -> str:
        """The finished picture, `height` px tall at a width of 360."""
        name = self.prefix
        defs = [self._pattern(hatch) for hatch in self._hatches] + self._clips
        ground = (
            f'<rect class="mm-f-paper" width="{figure(self.width)}" height="{figure(height)}" '
            f'fill="{PALETTE["paper"]}"/>'
        )
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="mm-drawing" role="img" '
            f'aria-labelledby="{name}-title {name}-desc" viewBox="0 0 {figure(self.width)} {figure(height)}" '
            f'width="100%" preserveAspectRatio="xMidYMin meet" font-family="system-ui, sans-serif">'
            f'<title id="{name}-title">{clean(self.title)}</title><desc id="{name}-desc">{clean(description)}</desc>'
            + (f"<defs>{''.join(defs)}</defs>" if defs else "")
            + ground
            + "".join(self._body)
            + "</svg>"
        )

    def _pattern(self, name: str) -> str:
        size, strokes, colour = _HATCHES[name]
        drawn = "".join(
            f'<line x1="{figure(a)}" y1="{figure(b)}" x2="{figure(c)}" y2="{figure(d)}" class="mm-s-{colour}" '
            f'stroke="{PALETTE[colour]}" stroke-width="0.8"/>'
            for a, b, c, d in strokes
        )
        return (
            f'<pattern id="{self.prefix}-{name}" width="{figure(size)}" height="{figure(size)}" '
            f'patternUnits="userSpaceOnUse">{drawn}</pattern>'
        )
