"""A ringed spigot wants a bore, a flange with a ring wants a face, a press-in tube wants neither: the two ends of the
suction joint must be of one sort."""

from kb.roles import oil_pump, pickup
from kb.rules._rule import Case, Limit, rule


@rule(
    "pickup-joint",
    "oil",
    "number",
    "count",
    asks="Is the pickup's end made for this pump's inlet?",
    limits=(
        Limit.at_most(
            0,
            why="the two ends cannot be sealed to each other",
            harm="destroys",
            milestone="prime",
            fix="the pickup that belongs to this pump, or this pickup's pump",
            source="definition",
        ),
    ),
    cases=(
        Case({"pickup_end": "radial", "pump_end": "radial"}, 0, True, "from the definition, on the limit"),
        Case({"pickup_end": "face", "pump_end": "radial"}, 1, False, "from the definition"),
    ),
)
def pickup_joint(pickup_end=pickup.joint, pump_end=oil_pump.inlet_joint):
    """mismatches = 1 if the two ends differ, else 0"""
    return (pickup_end != pump_end) + 0
