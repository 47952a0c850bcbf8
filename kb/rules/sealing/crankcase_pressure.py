"""A glove over the filler tells it all: sucked in a little is good, blown up means that the vent is shut."""

from kb.roles import crankcase_vent
from kb.rules._rule import Case, Limit, kpa, rule


@rule(
    "crankcase-pressure",
    "sealing",
    "pressure",
    "linear",
    asks="Is the crankcase under slight suction at idle?",
    limits=(
        Limit.at_most(
            0.0,
            why="above atmosphere at idle, oil leaves by every seal",
            harm="leaks",
            milestone="drive",
            fix="free the valve, a larger breather; if it stays, the rings blow by",
            source="memory",
        ),
    ),
    only_with=(crankcase_vent.idle_pressure,),
    cases=(
        Case({"pressure": -0.4 * kpa}, -0.4 * kpa, True, "from memory: slight suction, never above"),
        Case({"pressure": 0.0}, 0.0, True, "on the limit"),
        Case({"pressure": 0.8 * kpa}, 0.8 * kpa, None, "from memory"),
    ),
)
def crankcase_pressure(pressure=crankcase_vent.idle_pressure):
    """pressure = crankcase at idle, above atmosphere"""
    return pressure
