"""Lowering blocks and other springs turn the pinion, and with it the angle of the rear joint."""

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, rule

_DEGREE = 0.017453292519943295


@rule(
    "rear-joint-angle",
    "chassis",
    "angle",
    "linear",
    asks="Does the rear joint of the propeller shaft work at a small angle, and not at none?",
    limits=(
        Limit.at_least(
            1 * _DEGREE,
            why="a joint that hardly bends keeps its needles in one place and wears them into it",
            harm="wears",
            milestone="drive",
            fix="taper shims under the springs, or the pinion turned in its arms, then match the gearbox to it",
            source="memory",
        ),
        Limit.at_most(
            3 * _DEGREE,
            why="more angle heats the joint and shakes the shaft even where the other one cancels it",
            harm="wears",
            milestone="drive",
            fix="taper shims under the springs, or the pinion turned in its arms, then match the gearbox to it",
            source="memory",
        ),
        Limit.at_most(
            15 * _DEGREE,
            why="at road speed a single cross joint does not live at such an angle",
            harm="destroys",
            milestone="drive",
            fix="taper shims under the springs, or the pinion turned in its arms, then match the gearbox to it",
            source="practice",
            name="tolerated",
        ),
    ),
    cases=(
        Case({"angle": 2 * _DEGREE}, 2 * _DEGREE, True, "as given"),
        Case({"angle": 3 * _DEGREE}, 3 * _DEGREE, True, "on the usual limit"),
        Case({"angle": 6 * _DEGREE}, 6 * _DEGREE, None, "as given"),
        Case({"angle": 16.423 * _DEGREE}, 16.423 * _DEGREE, False, "geo-05 of the check values: 100 rpm in 1200"),
    ),
    caution="Work under a car only on stands, wheels chocked.",
)
def rear_joint_angle(angle=propshaft.rear_angle):
    """angle = bend of the rear joint as measured"""
    return angle
