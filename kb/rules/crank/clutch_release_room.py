"""A thinner flywheel, a taller cover or another bearing eats the gap between bearing and fingers: without it the clutch slips as
the disc wears."""

from kb.roles import clutch, release_bearing
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "clutch-release-room",
    "crank",
    "length",
    "linear",
    asks="With the bearing pushed back, is there the right gap to the clutch's fingers?",
    limits=(
        Limit.at_least(
            0.0,
            name="touches",
            why="the bearing bears on the fingers with the pedal up: the clutch slips as the disc wears",
            harm="wears",
            milestone="drive",
            fix="fewer shims behind the bearing, the other pivot, the flywheel of the right height",
            source="definition",
        ),
        Limit.at_least(
            2.54 * mm,
            why="less than .100 in is gone before the disc is half worn",
            harm="wears",
            milestone="drive",
            fix="fewer shims behind the bearing, or the other pivot",
            source="trade-page",
        ),
        Limit.at_most(
            3.81 * mm,
            why="more than .150 in is travel that the clutch does not get",
            harm="no_start",
            milestone="drive",
            fix="shims behind the bearing, or the longer pivot",
            source="trade-page",
        ),
    ),
    when={release_bearing.style: ("gap",)},
    cases=(
        Case({"fingers": 66.5 * mm, "stand": 63.5 * mm}, 3.0 * mm, True, "hand sum"),
        Case({"fingers": 66.04 * mm, "stand": 63.5 * mm}, 2.54 * mm, True, "on the limit, .100 in"),
        Case({"fingers": 60.0 * mm, "stand": 63.5 * mm}, -3.5 * mm, False, "hand sum: a taller cover"),
        Case({"fingers": 76.0 * mm, "stand": 63.5 * mm}, 12.5 * mm, False, "hand sum: a thinner flywheel"),
    ),
)
def clutch_release_room(fingers=clutch.finger_depth, stand=release_bearing.stand):
    """gap = gearbox face to fingers - gearbox face to the bearing, pushed back"""
    return fingers - stand
