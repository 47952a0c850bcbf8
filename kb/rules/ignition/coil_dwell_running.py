"""At the rev limit there must be time to fill the coil and to let it burn before its next spark is due: one coil for eight
cylinders has two and a half milliseconds for both at 6000."""

from math import exp

from kb.roles import battery_circuit, block, coil, controller, duty
from kb.rules._rule import Case, Limit, percent, rule
from kb.standards.electric import rise_time, spark_period, sparks_a_cycle

ms = 1e-3
mh = 1e-3


@rule(
    "coil-dwell-running",
    "ignition",
    "percent",
    "smooth",
    asks="At the rev limit, is there time to fill the coil and to burn its spark?",
    limits=(
        Limit.at_most(
            100 * percent,
            why="the coil is not full when its spark is due, and the engine misses at the top",
            harm="no_start",
            milestone="drive",
            fix="one coil for each pair or each cylinder, a quicker coil, or a lower rev limit",
            source="definition",
        ),
        Limit.at_most(
            80 * percent,
            why="with so little rest the coil runs hot",
            harm="wears",
            milestone="drive",
            fix="more coils, or a quicker one",
            source="memory",
        ),
    ),
    cases=(
        Case({"inductance": 6 * mh, "resistance": 0.7, "current": 6.0, "voltage": 13.5, "burn": 1.3 * ms, "speed": 6000 / 60, "cylinders": 6, "mode": "wasted"},
             0.4491, True, "trade rules: 3.2 ms at 13.5 V; with 1.3 ms of burn, of 10 ms", 5e-4),
        Case({"inductance": 6 * mh, "resistance": 0.7, "current": 6.0, "voltage": 13.5, "burn": 1.3 * ms, "speed": 6000 / 60, "cylinders": 8, "mode": "distributor"},
             1.7965, False, "trade rules: 3.2 ms at 13.5 V, and 2.5 ms for one coil of a V8 at 6000", 2e-3),
        Case({"inductance": 1 * mh, "resistance": 1.0, "current": 8.0, "voltage": 8 / (1 - exp(-1)), "burn": 1.0 * ms, "speed": 6000 / 60, "cylinders": 8, "mode": "distributor"},
             0.8, True, "on the usual limit: I R/V = 1 - 1/e takes L/R = 1 ms, with 1 ms of burn 2 of 2.5 ms"),
        Case({"inductance": 1 * mh, "resistance": 1.0, "current": 8.0, "voltage": 8 / (1 - exp(-1)), "burn": 1.5 * ms, "speed": 6000 / 60, "cylinders": 8, "mode": "distributor"},
             1.0, None, "on the limit: the same, with 1.5 ms of burn"),
    ),
    detail=lambda inductance, resistance, current, voltage, burn, speed, cylinders, mode: {
        "notes": [
            f"dwell {rise_time(inductance, resistance, current, voltage) / ms:.1f} ms and burn {burn / ms:.1f} ms, of "
            f"{spark_period(speed, sparks_a_cycle(cylinders, mode)) / ms:.1f} ms between sparks of one coil"
        ]
    },
)  # fmt: skip
def coil_dwell_running(
    inductance=coil.inductance,
    resistance=coil.resistance,
    current=coil.current,
    voltage=battery_circuit.running_volts,
    burn=coil.burn_time,
    speed=duty.rev_limit,
    cylinders=block.cylinders,
    mode=controller.spark_mode,
):
    """share = (-L/R ln(1 - I R/V) + burn time) / time between two sparks of one coil"""
    return (rise_time(inductance, resistance, current, voltage) + burn) / spark_period(
        speed, sparks_a_cycle(cylinders, mode)
    )
