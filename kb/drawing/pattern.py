"""Trigger wheel and what a controller can read, tooth over tooth on one axis: a turn of the wheel."""

from __future__ import annotations

from collections.abc import Sequence

from kb.drawing._svg import ROW, WIDTH, Drawing, shorten
from kb.errors import NotationFault
from kb.standards.patterns import Pattern, parse_pattern, same_pattern
from kb.unit_show import show

LEFT, RIGHT = 12.0, WIDTH - 12.0
HIGH = 16.0  # px: height of a tooth
OPEN = "cannot be compared"
MOST = 8  # controller patterns drawn; the words count the rest


def pattern_strip(
    wheel_code: str,
    controller_codes: Sequence[str],
    *,
    speed: float | None = None,
    system: str = "mm",
    prefix: str = "p",
) -> str:
    """SVG of a wheel's pattern above those that a controller decodes (codes as in `parse_pattern`).

    All begin at the first tooth after their longest gap. speed: rev/s of the wheel, for a time under the angle.
    A code that is no pattern is named and not drawn.
    """
    drawing = Drawing(prefix, f"Tooth pattern {shorten(wheel_code, 60)} against what the controller reads")
    drawing.words(LEFT, 18, "Wheel and controller, one turn", bold=True, size=13)
    wheel = _parsed(wheel_code)
    y = _row(drawing, 40, "wheel", wheel_code, wheel, "")
    said = [
        f"Wheel {shorten(wheel_code, 60)}."
        if wheel
        else f"Wheel {shorten(wheel_code, 60)}: not a pattern that can be drawn."
    ]
    drawing.line(LEFT, y - 8, RIGHT, y - 8, "line", 0.8)
    y += 8
    codes = list(controller_codes)
    for code in codes[:MOST]:
        pattern = _parsed(code)
        words = _compared(wheel, pattern)
        said.append(f"Controller pattern {shorten(code, 60)}: {words}.")
        y = _row(drawing, y, "controller", code, pattern, words)
    if len(codes) > MOST:
        said.append(f"{len(codes) - MOST} more patterns are not drawn.")
        drawing.words(LEFT, y, said[-1])
        y += ROW
    if not codes:
        said.append("No pattern of the controller is recorded: not known.")
        drawing.words(LEFT, y, said[-1])
        y += ROW
    y = _axis(drawing, y, speed, system)
    return drawing.render(y, " ".join(said))


def _parsed(code: str) -> Pattern | None:
    try:
        return parse_pattern(code)
    except NotationFault:
        return None


def _compared(wheel: Pattern | None, other: Pattern | None) -> str:
    if wheel is None or other is None:
        return OPEN
    match = same_pattern(wheel, other)
    words = {
        "same": "reads this wheel",
        "mirrored": "reads it only fitted back to front",
        "different": "does not match",
    }
    return words.get(match.sort, f"reads this wheel, {match}")


def _from_gap(pattern: Pattern) -> list[tuple[float, float]]:
    """(angle of the tooth, interval after it) with the tooth after the longest gap at 0."""
    intervals = pattern.intervals
    begin = (max(range(len(intervals)), key=lambda at: intervals[at]) + 1) % len(intervals)
    turned = intervals[begin:] + intervals[:begin]
    found, angle = [], 0.0
    for interval in turned:
        found.append((angle, interval))
        angle += interval
    return found


def _x(angle: float) -> float:
    return LEFT + angle / 360 * (RIGHT - LEFT)


def _row(drawing: Drawing, y: float, role: str, code: str, pattern: Pattern | None, words: str) -> float:
    """One pattern: its words, its pulses as a line, its gaps named below; returns the next row's y."""
    drawing.words(LEFT, y, f"{role} {shorten(code, 30)}", bold=True)
    if words:
        mark, colour = ("?", "open") if words == OPEN else ("\N{MULTIPLICATION SIGN}", "bad")
        if words.startswith("reads this"):
            mark, colour = "\N{CHECK MARK}", "good"
        y += ROW
        drawing.words(LEFT, y, f"{mark} {words}", colour=colour)
    if pattern is None:
        drawing.words(LEFT, y + ROW, "not a pattern that can be drawn")
        return y + 2 * ROW + 8
    top, foot = y + 8, y + 8 + HIGH
    teeth = _from_gap(pattern)
    wide = pattern.pitch / 2
    places: list[tuple[float, float]] = []
    for angle, interval in teeth:
        end = angle + min(wide, interval / 2)
        places += [(_x(angle), foot), (_x(angle), top), (_x(end), top), (_x(end), foot)]
    places.append((RIGHT, foot))
    drawing.lines(places, "ink", 1.2, "", "other_metal", data_teeth=str(len(teeth)))
    y = foot + 13
    named = False
    last = -1.0
    for angle, interval in teeth:
        if interval <= pattern.pitch + 1e-4 or pattern.even:
            continue
        begin, end = _x(angle + wide), _x(angle + interval)
        drawing.line(begin, foot + 4, end, foot + 4, "accent", 2)
        label = f"gap {interval:g}\N{DEGREE SIGN}"
        middle = min(max((begin + end) / 2, LEFT + 24), RIGHT - 24)
        if middle - last > 56 or last < 0:
            drawing.words(middle, foot + 17, label, "middle")
            last, named = middle, True
    return y + (ROW + 8 if named else 12)


def _axis(drawing: Drawing, y: float, speed: float | None, system: str) -> float:
    drawing.line(LEFT, y, RIGHT, y, "ink", 1)
    for angle in range(0, 361, 90):
        drawing.line(_x(angle), y - 3, _x(angle), y + 4, "ink", 1)
        anchor = "start" if angle == 0 else "end" if angle == 360 else "middle"
        drawing.words(_x(angle), y + 16, f"{angle}\N{DEGREE SIGN}", anchor)
        if speed:
            drawing.words(
                _x(angle), y + 30, f"{angle / 360 / speed * 1e3:.3g}" + (" ms" if angle == 360 else ""), anchor
            )
    y += 30
    if speed:
        drawing.words(LEFT, y + 16, f"times at {show(speed, 'speed', system)} of the wheel")
        y += 30
    return y
