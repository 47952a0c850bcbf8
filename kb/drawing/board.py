"""The board of the four milestones: a row of four places, each with its state by shape and words as well as colour."""

from __future__ import annotations

from kb.drawing._svg import ROW, WIDTH, Drawing, shorten, wrap
from kb.ready.board import CANNOT_TELL, NOT_READY, READY, Board, Milestone

COLOURS = {READY: "good", NOT_READY: "bad", CANNOT_TELL: "open"}
EDGE, BETWEEN, REACH = 10.0, 10.0, 15.0
PLACE = (WIDTH - 2 * EDGE - 3 * BETWEEN) / 4  # px: width of one place
MARK_AT = 92.0  # height of the middle of the marks


def milestone_board(board: Board, *, system: str = "mm", prefix: str = "b") -> str:
    """SVG of the milestones in their order, left to right. `system` changes nothing: there are no sizes on it."""
    name = board.answer.build.name
    drawing = Drawing(prefix, f"Milestones of {shorten(name, 120)}")
    y = 20.0
    for line in wrap(shorten(name, 90), WIDTH - 2 * EDGE, 13):
        drawing.words(EDGE, y, line, bold=True, size=13)
        y += 17
    middle = max(MARK_AT, y + 44)
    foot = middle + 66
    for number, each in enumerate(board.milestones):
        left = EDGE + number * (PLACE + BETWEEN)
        _place(drawing, each, left, middle, foot)
        if number:
            drawing.line(left - BETWEEN, middle, left, middle, "line", 1.6)
            drawing.arrow(left, middle, 0.0, "line", 5)
    said = "; ".join(f"{each.name}: {each.state}, {_count(each)}" for each in board.milestones)
    return drawing.render(foot + 12, f"{said}. A milestone counts what blocks those before it.")


def _count(each: Milestone) -> str:
    count = len(each.blockers)
    return f"{count} blocker{'s' if count != 1 else ''}" if count else "no blocker"


def _place(drawing: Drawing, each: Milestone, left: float, middle: float, foot: float) -> None:
    colour, x = COLOURS[each.state], left + PLACE / 2
    top = middle - 44
    line, dash = (1.8 if each.state == READY else 1.2), ("5 3" if each.state == CANNOT_TELL else "")
    drawing.rect(
        left, top, PLACE, foot - top, colour, line=line, dash=dash, data_milestone=each.name, data_state=each.state
    )
    drawing.words(x, top + 18, each.name, "middle", 13, bold=True)
    _mark(drawing, each.state, x, middle + 4)
    drawing.words(x, middle + 38, each.state, "middle", 12, colour, bold=True)
    drawing.words(x, middle + 38 + ROW + 2, _count(each), "middle")


def _mark(drawing: Drawing, state: str, x: float, y: float) -> None:
    """Circle and tick, square and cross, diamond and question mark: as on the pages."""
    colour, r = COLOURS[state], REACH
    if state == READY:
        drawing.circle(x, y, r, colour, line=2.2)
        drawing.lines([(x - 7, y + 1), (x - 2, y + 6), (x + 8, y - 6)], colour, 2.2)
    elif state == NOT_READY:
        drawing.rect(x - r + 1, y - r + 1, 2 * r - 2, 2 * r - 2, colour, line=2.2)
        drawing.line(x - 7, y - 7, x + 7, y + 7, colour, 2.2)
        drawing.line(x - 7, y + 7, x + 7, y - 7, colour, 2.2)
    else:
        points = [(x, y - r - 2), (x + r + 2, y), (x, y + r + 2), (x - r - 2, y)]
        drawing.lines(points, colour, 2.2, closed=True)
        drawing.words(x, y + 6, "?", "middle", 17, colour, bold=True, halo=False)
