"""Rubber gives way but does not shrink, and oil and heat swell it: the groove must have room for the whole ring."""

import math

from kb.maths import where
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
        Case({"cord": 3.5306 * mm, "bore": 25.2832 * mm, "groove": 20 * mm, "width": 4.953 * mm, "inner": 19.111 * mm},
             0.7483, True, "orn-10 of the check values: 0.139 in cord, 0.104 x 0.195 in gland, mean circles alike", 2e-3),
        Case({"cord": 3.53 * mm, "bore": 25.2 * mm, "groove": 20 * mm, "width": 3.8 * mm, "inner": 20 * mm},
             3.14159265358979 / 4 * 3.53**2 * 23.53 / (2.6 * 3.8 * 22.6), False, "from the definition"),
        Case({"cord": 2 * mm, "bore": 22 * mm, "groove": 20 * mm, "width": 3.14159265358979 / 0.85 * mm, "inner": 19 * mm},
             0.85, True, "on the limit, from the definition"),
    ),
)  # fmt: skip
def pickup_seal_fill(
    cord=pickup_seal.cord,
    inner=pickup_seal.inner_diameter,
    bore=oil_pump.inlet_bore,
    groove=pickup.groove_diameter,
    width=pickup.groove_width,
):
    """fill = volume of the ring / volume of the gland, whose depth is (bore - groove) / 2"""
    depth = (bore - groove) / 2
    return fill(cord, where(depth > 0 * depth, depth, math.nan * depth), width, inner, groove)
