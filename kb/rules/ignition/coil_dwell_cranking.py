"""A coil fills slowly on the eight volts that are left while the starter turns: the controller must hold it on for as long
as that takes, or the engine fires only when the key is let go."""

from math import exp

from kb.roles import battery_circuit, coil, controller
from kb.rules._rule import Case, Limit, rule
from kb.standards.electric import rise_time

ms = 1e-3
mh = 1e-3


@rule(
    "coil-dwell-cranking",
    "ignition",
    "time",
    "smooth",
    asks="Can the controller hold the coil on for long enough while the starter pulls the voltage down?",
    limits=(
        Limit.at_most(
            controller.longest_dwell,
            why="the coil is not full at cranking voltage: a weak spark, or none, just when it is needed",
            harm="no_start",
            milestone="fire",
            fix="a longer dwell at low voltage, a coil of less resistance, or less drop in the cables",
            source="definition",
            name="longest_dwell",
        ),
    ),
    cases=(
        Case({"inductance": 6 * mh, "resistance": 0.7, "current": 6.0, "voltage": 8.0, "longest_dwell": 8 * ms}, 6.381 * ms, True,
             "trade rules: 6.4 ms at 8 V", 1e-6),
        Case({"inductance": 7 * mh, "resistance": 0.7, "current": 6.0, "voltage": 4.2 / (1 - exp(-1)), "longest_dwell": 10 * ms}, 10 * ms, True,
             "on the limit: I R/V = 1 - 1/e takes L/R"),
        Case({"inductance": 6 * mh, "resistance": 0.7, "current": 6.0, "voltage": 6.0, "longest_dwell": 8 * ms}, 10.3198 * ms, False,
             "from the formula: 6/0.7 x ln(1/(1 - 0.7)) = 10.3 ms", 1e-6),
    ),
)  # fmt: skip
def coil_dwell_cranking(
    inductance=coil.inductance,
    resistance=coil.resistance,
    current=coil.current,
    voltage=battery_circuit.cranking_volts,
):
    """dwell = -L/R ln(1 - I R/V) at cranking voltage"""
    return rise_time(inductance, resistance, current, voltage)
