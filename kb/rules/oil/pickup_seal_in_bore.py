"""The ring seals only where the bore is straight: its whole cord must lie beyond the chamfer at the mouth."""

from kb.roles import oil_pump, pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pickup-seal-in-bore",
    "oil",
    "length",
    "linear",
    asks="With the flange home, does the ring lie in the straight part of the pump's bore?",
    limits=(
        Limit.at_least(
            0.0,
            why="a ring that sits in the chamfer is not squeezed",
            harm="destroys",
            milestone="prime",
            fix="a pickup whose groove lies deeper; never a spacer under the flange",
            source="definition",
        ),
    ),
    when={pickup.joint: ("radial",)},
    cases=(
        Case({"groove": 8 * mm, "cord": 3.5 * mm, "chamfer": 1.5 * mm}, 4.75 * mm, True, "hand sum"),
        Case({"groove": 4 * mm, "cord": 4 * mm, "chamfer": 2 * mm}, 0.0, True, "on the limit"),
        Case({"groove": 3 * mm, "cord": 3.5 * mm, "chamfer": 2 * mm}, -0.75 * mm, False, "hand sum"),
    ),
)
def pickup_seal_in_bore(groove=pickup.groove_from_flange, cord=pickup_seal.cord, chamfer=oil_pump.inlet_chamfer):
    """cover = middle of the groove from the flange face - half the cord - chamfer of the bore"""
    return groove - cord / 2 - chamfer
