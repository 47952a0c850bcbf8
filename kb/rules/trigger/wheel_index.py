"""The right pattern at the wrong angle is as dead as the wrong pattern: a wheel put on without its dowel can be nine teeth
off, and the scope still shows a clean signal."""

from math import radians, remainder, tau

from kb.roles import block, controller, trigger_wheel
from kb.rules._rule import Case, Limit, rule

degree = radians(1)


@rule(
    "wheel-index",
    "trigger",
    "angle",
    "stations",
    asks="Does the first tooth pass the sensor at the angle that the controller expects?",
    limits=(
        Limit.at_most(
            trigger_wheel.half_pitch,
            why="more than half a tooth off, the controller counts from the wrong tooth",
            harm="no_start",
            milestone="fire",
            fix="clock the wheel, drill it for its dowel, or set the angle in the controller",
            source="definition",
            name="half_a_tooth",
        ),
        Limit.at_most(
            2 * degree,
            why="every spark is off by as much",
            harm="wears",
            milestone="fire",
            fix="set the angle in the controller with a timing light",
            source="memory",
        ),
    ),
    cases=(
        Case({"tooth": 84 * degree, "sensor": 0.0, "lead": 84 * degree, "reach": 0.0, "half_a_tooth": 3 * degree}, 0.0, True,
             "pat-03 of the check values: first tooth 84 degrees before dead centre"),
        Case({"tooth": 86 * degree, "sensor": 0.0, "lead": 84 * degree, "reach": 0.0, "half_a_tooth": 3 * degree}, 2 * degree, True,
             "on the limit"),
        Case({"tooth": 20 * degree, "sensor": 300 * degree, "lead": 75 * degree, "reach": 0.0, "half_a_tooth": 5 * degree}, 5 * degree, None,
             "20 - 300 + 360 = 80, on the limit of half a tooth of 36"),
        Case({"tooth": 138 * degree, "sensor": 0.0, "lead": 84 * degree, "reach": 0.0, "half_a_tooth": 3 * degree}, 54 * degree, False,
             "trade magazine: nine teeth of 60 off are 54 degrees"),
        Case({"tooth": 138 * degree, "sensor": 0.0, "lead": 84 * degree, "reach": 60 * degree, "half_a_tooth": 3 * degree}, -6 * degree, True,
             "the same, within what can be set"),
    ),
    worst="most",
    advice="Find dead centre with a piston stop, not by the mark; then read the tooth under the sensor.",
)  # fmt: skip
def wheel_index(
    tooth=trigger_wheel.first_tooth,
    sensor=block.sensor_angle,
    lead=controller.first_tooth_lead,
    reach=controller.lead_range,
):
    """error = (first tooth - sensor) - lead expected, round the turn, early and late, less what can be set"""
    error = remainder(tooth - sensor - lead, tau)
    return [("tooth early", -error - reach), ("tooth late", error - reach)]
