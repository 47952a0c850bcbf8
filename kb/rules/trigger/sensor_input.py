"""A coil gives a swinging voltage, a powered sensor switches a line: the controller's input must be made for the one that
is fitted."""

from kb.maths import is_in
from kb.roles import controller, crank_sensor
from kb.rules._rule import Case, Limit, rule


@rule(
    "sensor-input",
    "trigger",
    "number",
    "count",
    asks="Does the controller's input take this sort of sensor?",
    limits=(
        Limit.at_least(
            1,
            why="a coil on a switch input, or a switch on a coil input, gives garbage or nothing",
            harm="no_start",
            milestone="fire",
            fix="the other sensor, or a conditioner between the two",
            source="definition",
        ),
    ),
    cases=(
        Case({"sense": "hall_biased", "takes": frozenset({"hall_biased", "hall_bare"})}, 1, True, "on the limit"),
        Case({"sense": "reluctor_coil", "takes": frozenset({"hall_biased"})}, 0, False, "from the definition"),
    ),
)
def sensor_input(sense=crank_sensor.sense, takes=controller.senses):
    """taken = 1 if the sensor is in the controller's list, else 0"""
    return is_in(sense, takes)
