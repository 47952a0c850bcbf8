"""Findings and parts as SVG text: to scale, readable without colour, safe under a strict content security policy.

`css()` is the style sheet that binds the pictures' classes to the --mm-* variables (light, dark, print); without it a
picture stands alone in dark letters on white. Every function takes a `prefix` that keeps its ids apart on a page.
"""

from kb.drawing.bay import bay_envelope
from kb.drawing.belt import belt_drawing
from kb.drawing.board import milestone_board
from kb.drawing.circuit import circuit_drawing
from kb.drawing.crank_stack import crank_stack
from kb.drawing.curve import chance_curve
from kb.drawing.pattern import pattern_strip
from kb.drawing.seating_map import seating_map
from kb.drawing.section import sump_section
from kb.drawing.suction import suction_graph


def css() -> str:
    """The text of drawing.css."""
    from os.path import dirname, join

    with open(join(dirname(__file__), "drawing.css"), encoding="utf-8") as file:
        return file.read()


__all__ = [
    "bay_envelope", "belt_drawing", "chance_curve", "circuit_drawing", "crank_stack", "css", "milestone_board",
    "pattern_strip", "seating_map", "suction_graph", "sump_section",
]  # fmt: skip
