"""The battery's own posts must hold 9.6 volts while the starter turns: what is lost inside the battery no cable brings back."""

from kb.roles import battery, battery_circuit
from kb.rules._rule import Case, Limit, rule
from kb.standards.electric import inner_resistance


@rule(
    "battery-under-load",
    "electrical",
    "voltage",
    "smooth",
    asks="Does the battery hold its voltage at its own posts while the starter turns?",
    limits=(
        Limit.at_least(
            9.6,
            why="below this the battery is small, old or flat: the starter slows and the spark fails",
            harm="no_start",
            milestone="crank",
            fix="charge it and test it under load; else a battery with more cold cranking amperes",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"rest": 12.6, "amperes": 540.0, "current": 200.0}, 10.6, True, "5.4 V at 540 A are 0.01 ohm: 12.6 - 2.0"),
        Case({"rest": 12.6, "amperes": 540.0, "current": 300.0}, 9.6, True, "on the limit: 12.6 - 3.0"),
        Case({"rest": 12.2, "amperes": 250.0, "current": 200.0}, 8.2, False, "5.0 V at 250 A are 0.02 ohm: 12.2 - 4.0"),
    ),
    advice="A warm battery holds more than this: the sum is for the cold at which its amperes are rated.",
    caution="Battery acid and gas: eye protection, no flame, - lead off first.",
)
def battery_under_load(
    rest=battery.rest_voltage, amperes=battery.cold_amperes, current=battery_circuit.cranking_current
):
    """volts at the posts = rest - current x (rest - 7.2 V) / cold cranking amperes"""
    return rest - current * inner_resistance(rest, amperes)
