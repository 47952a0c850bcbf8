"""At full droop the yoke comes out: if little spline is left, it shakes, and then it leaves."""

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "yoke-engagement",
    "chassis",
    "length",
    "linear",
    asks="Is enough spline left in the gearbox at full droop?",
    limits=(
        Limit.at_least(
            0.0,
            why="the yoke comes out of the gearbox",
            harm="fire",
            milestone="drive",
            fix="a longer shaft",
            source="definition",
        ),
        Limit.at_least(
            38 * mm,
            why="with less spline engaged than the shaft is thick the yoke whips and wears its bush",
            harm="wears",
            milestone="drive",
            fix="a longer shaft, or a strap that stops the axle earlier",
            source="memory",
        ),
    ),
    cases=(
        Case({"spline": 110 * mm, "travel": 30 * mm, "droop": 25 * mm}, 55 * mm, True, "hand sum"),
        Case({"spline": 93 * mm, "travel": 30 * mm, "droop": 25 * mm}, 38 * mm, True, "on the usual limit"),
        Case({"spline": 85 * mm, "travel": 35 * mm, "droop": 30 * mm}, 20 * mm, None, "hand sum"),
        Case({"spline": 50 * mm, "travel": 30 * mm, "droop": 30 * mm}, -10 * mm, False, "hand sum"),
    ),
    advice="Four inches of spline with two showing at ride height was found good on one car (trade page).",
    caution="Work under a car only on stands, wheels chocked.",
)
def yoke_engagement(spline=propshaft.spline_length, travel=propshaft.yoke_travel, droop=propshaft.droop_travel):
    """engaged = spline - yoke from bottomed to ride height - what it comes out further at droop"""
    return spline - travel - droop
