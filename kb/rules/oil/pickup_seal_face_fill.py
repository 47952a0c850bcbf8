"""A ring in the flange of the pickup lies in a groove that is closed by the pump's face: what does not go in holds the flange
off."""

from kb.roles import pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import fill


@rule(
    "pickup-seal-face-fill",
    "oil",
    "percent",
    "smooth",
    asks="Does the groove in the pickup's flange have room for the ring?",
    limits=(
        Limit.at_most(
            85 * percent,
            why="a full groove leaves no room to swell: the ring splits or holds the flange off",
            harm="leaks",
            milestone="drive",
            fix="a thinner cord or a wider groove",
            source="oring-guide",
        ),
    ),
    when={pickup.joint: ("face",)},
    cases=(
        Case({"cord": 3.5306 * mm, "depth": 2.6416 * mm, "width": 4.953 * mm}, 0.7483, True,
             "orn-10 of the check values: 0.139 in cord, 0.104 x 0.195 in gland", 1e-4),
        Case({"cord": 2 * mm, "depth": 1.5 * mm, "width": 3.14159265358979 / (1.5 * 0.85) * mm}, 0.85, True,
             "on the limit, from the definition"),
        Case({"cord": 3.53 * mm, "depth": 2.6 * mm, "width": 3.8 * mm}, 0.99057, False, "from the definition", 1e-4),
    ),
)  # fmt: skip
def pickup_seal_face_fill(cord=pickup_seal.cord, depth=pickup.groove_depth, width=pickup.groove_width):
    """fill = section of the cord / (groove depth x groove width)"""
    return fill(cord, depth, width)
