"""Depths from the rail as superimposed running dimensions (ISO 129): one origin, one line, figures at the side."""

from __future__ import annotations

from typing import NamedTuple

from kb.drawing._details import band
from kb.drawing._scene import Scene
from kb.drawing._svg import LETTER, NOT_KNOWN, ROW, TEXT, WIDTH, Drawing, shorten, spread
from kb.drawing._values import UNKNOWN, Known, give_or_take
from kb.drawing._view import COLUMN, LABELS, View, foot_half, foot_place

_MOST = int((WIDTH - LABELS - 2) / (TEXT * LETTER))  # letters that fit beside the dimension line


class Row(NamedTuple):
    """A line of words beside the dimension line; `at` is the height that it belongs to, `leads` draws a leader."""

    words: str
    at: float
    leads: bool


def _marks(scene: Scene) -> list[tuple[str, Known]]:
    found = [(mark.word, mark.depth) for mark in scene.marks]
    found += [(shorten(thing.name, 40), thing.top) for thing in scene.near if not thing.beside]
    return sorted(found, key=lambda pair: pair[1].value)


def rows(scene: Scene, view: View, system: str) -> list[Row]:
    """The lines of words beside the dimension line, from the top."""
    found = [Row("rail 0", view.z(0.0), True)]
    for word, known in _marks(scene):
        at = view.z(known.value)
        lines = [give_or_take(known, system)] if known.sure else UNKNOWN.replace(": ", ":|").split("|")
        if len(word) + 1 + len(lines[0]) <= _MOST:
            lines[0] = f"{word} {lines[0]}"
        else:
            lines.insert(0, shorten(word, _MOST))
        found += [Row(words, at, number == 0) for number, words in enumerate(lines)]
    return sorted(found, key=lambda row: row.at)


def running(drawing: Drawing, scene: Scene, view: View, system: str) -> float:
    """Superimposed running dimensions from the rail; returns the foot of the lowest words."""
    marks = _marks(scene)
    zero = view.z(0.0)
    ends = [zero, *(view.z(known.value) for _, known in marks)]
    drawing.line(COLUMN, min(ends), COLUMN, max(ends), "ink", 0.8, data_from=min(ends), data_to=max(ends))
    drawing.circle(COLUMN, zero, 2.5, "ink", "paper", 1)
    for word, known in marks:
        at, begin = view.z(known.value), view.right + 2
        if word == "foot":
            begin = view.x(foot_place(scene) + foot_half(scene)) + 2
        dash = "" if known.sure else NOT_KNOWN
        drawing.line(
            begin, at, COLUMN + 4, at, "line", 0.6, dash, data_mark=word, data_depth=f"{known.value * 1e3:.4f}"
        )
        band(drawing, COLUMN - 4, at, 8, known, view.scale)
        drawing.arrow(COLUMN, at, 1.5708 if known.value >= 0 else -1.5708, size=4.5)
    words = rows(scene, view, system)
    places = spread([row.at for row in words], ROW - 1, 50.0)
    for row, put in zip(words, places, strict=True):
        if row.leads:
            drawing.lines([(COLUMN + 4, row.at), (LABELS - 3, put)], "line", 0.6)
        drawing.words(LABELS if row.leads else LABELS + 10, put + 4, row.words)
    return max(places) + 4
