"""The screen of a coil sensor's cable keeps sparks out only if it is grounded, and only at one end: grounded at both, it
carries the starter's current."""

from kb.roles import crank_sensor, sensor_loom
from kb.rules._rule import Case, Limit, rule


@rule(
    "sensor-screen",
    "trigger",
    "number",
    "count",
    asks="Is the screen of the coil sensor's cable grounded at one end and no more?",
    limits=(
        Limit.at_least(
            1,
            why="an open screen, or none, lets the sparks into the signal",
            harm="no_start",
            milestone="fire",
            fix="screened cable, its screen joined to the controller's sensor ground",
            source="practice",
        ),
        Limit.at_most(
            1,
            why="grounded at both ends it becomes part of the engine's ground, and its current adds teeth",
            harm="no_start",
            milestone="fire",
            fix="cut the screen free at the sensor's end",
            source="controller-docs",
        ),
    ),
    when={crank_sensor.sense: ("reluctor_coil",)},
    cases=(
        Case({"ends": 1}, 1, True, "on both limits"),
        Case({"ends": 0}, 0, False, "from the definition"),
        Case({"ends": 2}, 2, False, "from the definition"),
    ),
)
def sensor_screen(ends=sensor_loom.screen_ends):
    """ends = ends of the screen that are joined to ground"""
    return ends
