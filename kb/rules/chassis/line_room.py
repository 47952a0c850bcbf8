"""An exhaust near a brake or fuel line boils the one and bursts the other."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "line-room",
    "chassis",
    "length",
    "linear",
    asks="Does the exhaust clear brake and fuel lines?",
    limits=(
        Limit.at_least(
            0.0,
            why="the pipe touches a line",
            harm="fire",
            milestone="fire",
            fix="reroute the line or the pipe",
            source="definition",
        ),
        Limit.at_least(
            25 * mm,
            why="nearer than this the heat boils brake fluid or fuel",
            harm="fire",
            milestone="drive",
            fix="reroute the line, or a heat shield between",
            source="memory",
        ),
    ),
    cases=(
        Case({"gap": 60 * mm}, 60 * mm, True, "as given"),
        Case({"gap": 25 * mm}, 25 * mm, True, "on the limit"),
        Case({"gap": -1 * mm}, -1 * mm, False, "as given"),
    ),
    advice="A metre of steel pipe grows about 6 mm when hot: 12e-6 a kelvin over 500 K. Leave that much more along its run.",
    caution="Fuel near a hot pipe is a fire. Work under a car only on stands, wheels chocked.",
)
def line_room(gap=engine_bay.line_gap):
    """gap = exhaust to the nearest line, as measured in the car"""
    return gap
