"""A cable that hangs finds the propeller shaft or the exhaust: clip it every hand's breadth."""

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.electrical.battery_cable_guard import AWAY


@rule(
    "battery-cable-clips",
    "electrical",
    "length",
    "linear",
    asks="Is the long battery cable clipped often enough?",
    limits=(
        Limit.at_most(
            300 * mm,
            why="it sags onto hot or moving parts, and chafes",
            harm="fire",
            milestone="drive",
            fix="a clip every 300 mm, lined, clear of fuel and brake lines",
            source="practice",
        ),
    ),
    when={battery_circuit.place: AWAY},
    cases=(
        Case({"distance": 250 * mm}, 250 * mm, True, "from the definition"),
        Case({"distance": 300 * mm}, 300 * mm, True, "on the limit"),
        Case({"distance": 1200 * mm}, 1200 * mm, False, "from the definition"),
    ),
)
def battery_cable_clips(distance=battery_circuit.clip_distance):
    """distance = widest distance between two clips"""
    return distance
