"""Threads of the plug that hang into the chamber glow and set off the charge by themselves; a short plug hides its spark
in the hole and lets the head's own threads coke up."""

from kb.roles import cylinder_head, spark_plug
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "plug-reach",
    "ignition",
    "length",
    "linear",
    asks="Does the plug's thread end where the head's thread ends?",
    limits=(
        Limit.at_most(
            1.25 * mm,
            why="a turn of thread or more in the chamber glows: it kills pistons",
            harm="destroys",
            milestone="fire",
            fix="the plug with the shorter reach",
            source="practice",
        ),
        Limit.at_least(
            -2.5 * mm,
            why="two turns short, the spark hides in the hole and the head's thread cokes up",
            harm="wears",
            milestone="drive",
            fix="the plug with the longer reach",
            source="practice",
        ),
    ),
    cases=(
        Case({"reach": 19.0 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm}, 0.0, True, "hand sum"),
        Case({"reach": 19.0 * mm, "washer": 1.4 * mm, "hole": 16.35 * mm}, 1.25 * mm, True, "on the limit: one turn of M14x1.25"),
        Case({"reach": 19.0 * mm, "washer": 0.0, "hole": 14.0 * mm}, 5.0 * mm, False, "trade page: four threads of 1.25 in the chamber killed a bank"),
        Case({"reach": 12.7 * mm, "washer": 1.4 * mm, "hole": 17.6 * mm}, -6.3 * mm, False, "hand sum"),
    ),
    caution="Turn the engine over by hand with the plugs in before the starter does it.",
)  # fmt: skip
def plug_reach(reach=spark_plug.reach, washer=spark_plug.washer, hole=cylinder_head.plug_hole_depth):
    """thread in the chamber = reach - crushed ring - depth of the hole"""
    return reach - washer - hole
