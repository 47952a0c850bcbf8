"""A spigot that touches the floor of its bore holds the flange off its face, and the ring with it."""

from kb.roles import oil_pump, pickup
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pickup-spigot-room",
    "oil",
    "length",
    "linear",
    asks="Does the spigot end before the floor of the pump's bore?",
    limits=(
        Limit.at_least(
            0.0,
            why="a spigot that bottoms holds the flange off and can crack the pump's cover",
            harm="destroys",
            milestone="prime",
            fix="the pickup made for this pump, or dress the tip of the spigot",
            source="definition",
        ),
    ),
    when={pickup.joint: ("radial",)},
    cases=(
        Case({"bore_depth": 16 * mm, "chamfer": 1 * mm, "spigot": 14 * mm}, 3 * mm, True, "hand sum"),
        Case({"bore_depth": 14 * mm, "chamfer": 0.0, "spigot": 14 * mm}, 0.0, True, "on the limit"),
        Case({"bore_depth": 10 * mm, "chamfer": 1 * mm, "spigot": 14 * mm}, -3 * mm, False, "hand sum"),
    ),
)
def pickup_spigot_room(
    bore_depth=oil_pump.inlet_bore_depth, chamfer=oil_pump.inlet_chamfer, spigot=pickup.spigot_length
):
    """room = chamfer + straight bore depth - spigot"""
    return chamfer + bore_depth - spigot
