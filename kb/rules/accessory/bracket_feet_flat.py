"""A bracket whose feet do not share one plane leans its pulley when it is pulled down, or cracks."""

from math import pi

from kb.roles import bracket
from kb.rules._rule import Case, Limit, rule

DEGREE = pi / 180


@rule(
    "bracket-feet-flat",
    "accessory",
    "angle",
    "smooth",
    asks="Do the bracket's feet stand in one plane?",
    limits=(
        Limit.at_most(
            0.5 * DEGREE,
            why="pulled down, the bracket leans its pulley more than a belt stands",
            harm="wears",
            milestone="drive",
            fix="face the feet together, or shim all feet so that they stand alike",
            source="trade-page",
        ),
        Limit.at_most(
            0.1 * DEGREE,
            why="the bolts bend the bracket to close such a gap, and it works loose or cracks",
            harm="wears",
            milestone="drive",
            fix="face the feet together, or shim the foot that stands off",
            source="memory",
        ),
    ),
    cases=(
        Case({"step": 0.0001, "distance": 0.1}, 0.001, True, "0.1 mm over 100 mm, small angle", 1e-9),
        Case({"step": 0.1 * pi / 180 * 0.1, "distance": 0.1}, 0.1 * DEGREE, True, "on the limit", 1e-9),
        Case({"step": 0.0005, "distance": 0.1}, 0.005, None, "0.5 mm over 100 mm", 1e-9),
        Case({"step": 0.0015, "distance": 0.1}, 0.015, False, "1.5 mm over 100 mm", 1e-9),
    ),
)
def bracket_feet_flat(step=bracket.feet_step, distance=bracket.feet_distance):
    """lean = gap under the foot / its distance from the others"""
    return step / distance
