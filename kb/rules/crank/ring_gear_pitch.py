"""A pinion of another pitch enters, climbs and chews: tooth size must be the same on both."""

from kb.roles import drive_plate, starter
from kb.rules._rule import Case, Limit, mm, percent, rule


@rule(
    "ring-gear-pitch",
    "crank",
    "percent",
    "smooth",
    asks="Have ring gear and pinion the same size of tooth?",
    limits=(
        Limit.at_least(
            -2 * percent,
            why="the pinion's teeth are finer than the ring's and jam at the second tooth",
            harm="no_start",
            milestone="crank",
            fix="the starter for this ring's pitch",
            source="practice",
        ),
        Limit.at_most(
            2 * percent,
            why="the pinion's teeth are coarser than the ring's and do not enter",
            harm="no_start",
            milestone="crank",
            fix="the starter for this ring's pitch",
            source="practice",
        ),
    ),
    cases=(
        Case({"pinion": 2.5 * mm, "ring": 2.5 * mm}, 0.0, True, "from the definition"),
        Case({"pinion": 2.55 * mm, "ring": 2.5 * mm}, 0.02, True, "on the limit"),
        Case(
            {"pinion": 25.4 / 10 * mm, "ring": 25.4 / 12 * mm},
            0.2,
            False,
            "diametral pitch 10 against 12, from the definition",
        ),
        Case(
            {"pinion": 25.4 / 12 * mm, "ring": 2.25 * mm},
            25.4 / 27 - 1,
            False,
            "diametral pitch 12 against module 2.25",
        ),
    ),
    advice="The same by definition; 2 % allows for how a tooth is measured.",
)
def ring_gear_pitch(pinion=starter.module, ring=drive_plate.ring_module):
    """difference = module of the pinion / module of the ring - 1"""
    return pinion / ring - 1
