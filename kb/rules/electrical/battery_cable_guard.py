"""Metres of live cable run beside fuel and brake lines: where nothing can cut it, a chafe or a crash is a fire."""

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, rule

AWAY = ("cab", "behind_cab", "trunk")


@rule(
    "battery-cable-guard",
    "electrical",
    "number",
    "count",
    asks="Can a fuse, a switch or a solenoid cut the long battery cable?",
    limits=(
        Limit.at_least(
            1,
            why="a long cable that nothing can cut burns until the battery is empty",
            harm="fire",
            milestone="crank",
            fix="a fuse sized for the starter, a master switch or a solenoid at the battery",
            source="trade-page",
        ),
    ),
    when={battery_circuit.place: AWAY},
    cases=(
        Case({"guard": "fuse"}, 1, True, "on the limit"),
        Case({"guard": "solenoid"}, 1, True, "from the definition"),
        Case({"guard": "none"}, 0, False, "trade page: an unfused hot cable is named as a fire risk"),
    ),
    caution="Fire: extinguisher within reach; - lead off before the cable is touched.",
)
def battery_cable_guard(guard=battery_circuit.guard):
    """guarded = 1 if something can cut the cable, else 0"""
    return (guard != "none") + 0
