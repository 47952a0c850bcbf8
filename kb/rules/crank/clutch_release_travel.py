"""The bearing first closes its gap, and only what is left of its travel opens the clutch."""

from kb.roles import clutch, release_bearing
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "clutch-release-travel",
    "crank",
    "length",
    "linear",
    asks="Does the bearing travel far enough to free the disc?",
    limits=(
        Limit.at_least(
            0.0,
            why="the clutch does not release: gears grate, first gear does not go in",
            harm="no_start",
            milestone="drive",
            fix="shims behind the bearing, a slave cylinder with more travel or a longer fork",
            source="definition",
        ),
    ),
    when={release_bearing.style: ("gap",)},
    cases=(
        Case({"travel": 14 * mm, "fingers": 66.5 * mm, "stand": 63.5 * mm, "needed": 9 * mm}, 2 * mm, True, "hand sum"),
        Case(
            {"travel": 12 * mm, "fingers": 66.5 * mm, "stand": 63.5 * mm, "needed": 9 * mm}, 0.0, True, "on the limit"
        ),
        Case(
            {"travel": 14 * mm, "fingers": 76.0 * mm, "stand": 63.5 * mm, "needed": 9 * mm},
            -7.5 * mm,
            False,
            "hand sum",
        ),
    ),
)
def clutch_release_travel(
    travel=release_bearing.travel,
    fingers=clutch.finger_depth,
    stand=release_bearing.stand,
    needed=clutch.release_travel,
):
    """left over = travel of the bearing - gap - travel that frees the disc"""
    return travel - (fingers - stand) - needed
