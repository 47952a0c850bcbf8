"""An open-collector sensor can only pull its line down; somebody must pull it up, or the line never moves."""

from kb.roles import controller, crank_sensor, sensor_loom
from kb.rules._rule import Case, Limit, optional, rule


@rule(
    "sensor-pull-up",
    "trigger",
    "number",
    "count",
    asks="Does something pull the sensor's line up?",
    limits=(
        Limit.at_least(
            1,
            why="without a pull-up the line stays low, or picks up noise, and there is no signal",
            harm="no_start",
            milestone="fire",
            fix="switch on the controller's pull-up, or a resistor of some kilohms from the signal to its supply",
            source="practice",
        ),
    ),
    when={crank_sensor.output: ("open_collector",)},
    cases=(
        Case({"inside": True, "outside": False}, 1, True, "on the limit, from the definition"),
        Case({"inside": False, "outside": True}, 1, True, "from the definition"),
        Case({"inside": False, "outside": False}, 0, False, "from the definition"),
    ),
    detail=lambda inside, outside: {
        "notes": [] if inside or outside else ["no pull-up in the controller and none in the loom"]
    },
)
def sensor_pull_up(inside=controller.pull_up, outside=optional(sensor_loom.pull_up, absent=False)):
    """pull-ups = those in the controller and in the loom"""
    return inside + outside + 0
