"""A battery that breathes gives off gas that explodes: indoors it needs a box with a vent to the outside."""

from kb.roles import battery, battery_circuit
from kb.rules._rule import Case, Limit, rule


@rule(
    "battery-vent",
    "electrical",
    "number",
    "count",
    asks="Is the battery's gas kept out of the cab and the trunk?",
    limits=(
        Limit.at_least(
            1,
            why="gas and acid gather where people sit and switches spark",
            harm="fire",
            milestone="drive",
            fix="a closed box with a hose to the outside, or a sealed battery",
            source="practice",
        ),
    ),
    when={battery_circuit.place: ("cab", "behind_cab", "trunk")},
    cases=(
        Case({"sealed": True, "vented": False}, 1, True, "on the limit: a sealed battery"),
        Case({"sealed": False, "vented": True}, 1, True, "a vented box"),
        Case({"sealed": False, "vented": False}, 0, False, "from the definition"),
    ),
    detail=lambda sealed, vented: {"notes": [] if sealed or vented else ["the battery breathes, and its box has no vent to the outside"]},
    caution="No flame or spark near a battery under charge.",
)  # fmt: skip
def battery_vent(sealed=battery.sealed, vented=battery_circuit.vented_box):
    """safe = 1 for a sealed battery or a vented box, else 0"""
    return int(sealed or vented)
