"""A master switch that leaves the alternator on the circuit does not stop the engine: it goes on feeding the fire."""

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, rule


@rule(
    "battery-switch",
    "electrical",
    "number",
    "count",
    asks="Does the master switch, if there is one, kill the engine as well as the battery?",
    limits=(
        Limit.at_least(
            1,
            why="with the battery off and the alternator on, ignition and fuel pump run on, and the voltage soars",
            harm="fire",
            milestone="drive",
            fix="a switch with a second pole for the alternator's field or the ignition's feed",
            source="practice",
        ),
    ),
    cases=(
        Case({"cuts": "battery_and_alternator"}, 1, True, "on the limit"),
        Case({"cuts": "no_switch"}, 1, True, "nothing to leave half done"),
        Case({"cuts": "battery"}, 0, False, "from the definition"),
    ),
)
def battery_switch(cuts=battery_circuit.switch_cuts):
    """kills = 0 if the switch cuts the battery alone, else 1"""
    return (cuts != "battery") + 0
