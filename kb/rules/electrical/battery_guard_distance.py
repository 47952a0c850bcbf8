"""What can cut the cable guards only the cable behind it: the piece before it stays live."""

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "battery-guard-distance",
    "electrical",
    "length",
    "linear",
    asks="Does the fuse or switch sit near enough to the battery?",
    limits=(
        Limit.at_most(
            500 * mm,
            why="the cable before the fuse or switch is live whatever happens",
            harm="fire",
            milestone="crank",
            fix="move the fuse or switch to the battery",
            source="memory",
        ),
    ),
    when={battery_circuit.guard: ("fuse", "switch", "solenoid")},
    cases=(
        Case({"distance": 300 * mm}, 300 * mm, True, "within half a metre"),
        Case({"distance": 500 * mm}, 500 * mm, True, "on the limit"),
        Case({"distance": 2500 * mm}, 2500 * mm, None, "at the engine's end of the cable"),
    ),
)
def battery_guard_distance(distance=battery_circuit.guard_distance):
    """distance = cable from the battery to what can cut it"""
    return distance
