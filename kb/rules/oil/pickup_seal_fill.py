"""Rubber gives way but does not shrink, and oil and heat swell it: the groove must have room for the whole ring."""

from kb.roles import oil_pump, pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import fill


@rule(
    "pickup-seal-fill",
    "oil",
    "percent",
    "smooth",
    asks="Does the groove on the spigot have room for the ring?",
    limits=(
        Limit.at_most(
            85 * percent,
            why="a full groove leaves no room to swell: the ring splits or holds the joint open",
            harm="leaks",
            milestone="drive",
            fix="a thinner cord or a wider groove",
            source="oring-guide",
        ),
    ),
    when={pickup.joint: ("radial",)},
    cases=(
        Case({"cord": 3.5306 * mm, "bore": 25.2832 * mm, "groove": 20 * mm, "width": 4.953 * mm}, 0.7483, True,
             "orn-10 of the check values: 0.139 in cord, 0.104 x 0.195 in gland", 2e-3),
        Case({"cord": 3.53 * mm, "bore": 25.2 * mm, "groove": 20 * mm, "width": 3.8 * mm}, 0.99057, False,
             "from the definition", 1e-4),
        Case({"cord": 2 * mm, "bore": 22 * mm, "groove": 20 * mm, "width": 3.14159265358979 / 0.85 * mm}, 0.85, True,
             "on the limit, from the definition"),
    ),
)  # fmt: skip
def pickup_seal_fill(
    cord=pickup_seal.cord, bore=oil_pump.inlet_bore, groove=pickup.groove_diameter, width=pickup.groove_width
):
    """fill = section of the cord / (gland depth x groove width), gland depth = (bore - groove) / 2"""
    return fill(cord, (bore - groove) / 2, width)
