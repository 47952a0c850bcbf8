"""A loose battery is a missile with acid in it, and shorts its posts on whatever it meets."""

from kb.roles import battery_circuit
from kb.rules._rule import Case, Limit, rule


@rule(
    "battery-hold-down",
    "electrical",
    "number",
    "count",
    asks="Is the battery held so that it cannot leave its tray?",
    limits=(
        Limit.at_least(
            1,
            why="it shorts, spills and flies when the car stops short",
            harm="fire",
            milestone="drive",
            fix="a frame or strap bolted through the body, with a cover over the + post",
            source="practice",
        ),
    ),
    cases=(
        Case({"held": True}, 1, True, "on the limit"),
        Case({"held": False}, 0, False, "from the definition"),
    ),
)
def battery_hold_down(held=battery_circuit.held_down):
    """held = 1 if a frame holds the battery, else 0"""
    return held + 0
