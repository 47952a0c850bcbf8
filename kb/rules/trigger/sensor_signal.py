"""A coil gives least when the starter turns slowest: too little there, and a warm engine with a tired battery will not
start."""

from kb.roles import controller, crank_sensor
from kb.rules._rule import Case, Limit, rule


@rule(
    "sensor-signal",
    "trigger",
    "voltage",
    "linear",
    asks="Does the coil sensor give enough voltage while the starter turns the engine?",
    limits=(
        Limit.at_least(
            controller.threshold,
            why="below its threshold the controller sees no teeth",
            harm="no_start",
            milestone="fire",
            fix="a smaller gap, a lower threshold, or more cranking speed",
            source="controller-docs",
            name="threshold",
        ),
        Limit.at_least(
            0.5,
            why="under half a volt at cranking the signal drowns in noise",
            harm="no_start",
            milestone="fire",
            fix="a smaller gap, or more cranking speed",
            source="trade-page",
            usual=True,
            name="suspect_below",
        ),
    ),
    when={crank_sensor.sense: ("reluctor_coil",)},
    cases=(
        Case({"volts": 1.2, "threshold": 0.3}, 1.2, True, "controller maker's note: about 1 V at cranking"),
        Case({"volts": 0.5, "threshold": 0.3}, 0.5, True, "on the limit"),
        Case({"volts": 0.4, "threshold": 0.3}, 0.4, None, "trade page: suspect"),
        Case({"volts": 0.2, "threshold": 0.3}, 0.2, False, "below the threshold"),
    ),
)
def sensor_signal(volts=crank_sensor.cranking_signal):
    """signal = peak voltage of the coil while cranking"""
    return volts
