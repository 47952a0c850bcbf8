"""A leak on the suction side draws air and shows no drip: the ring around the spigot must be squeezed enough to seal and
not so much that it is cut, at the tolerances that the parts really have."""

from kb.roles import oil_pump, pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import squeeze, stretch, thinned_cord, thinning_constant_volume


@rule(
    "pickup-seal-squeeze",
    "oil",
    "percent",
    "smooth",
    asks="Is the ring around the pickup's spigot squeezed as a static radial ring must be?",
    limits=(
        Limit.at_least(
            10 * percent,
            why="a ring squeezed less lets the pump draw air",
            harm="destroys",
            milestone="prime",
            fix="the ring with the thicker cord that belongs to this tube and pump, or another tube",
            source="oring-lecture",
        ),
        Limit.at_most(
            35 * percent,
            why="a ring squeezed more is cut as the spigot enters, or splits",
            harm="destroys",
            milestone="prime",
            fix="the ring with the thinner cord that belongs to this tube and pump",
            source="oring-lecture",
        ),
        Limit.at_least(
            15 * percent,
            why="a static radial ring squeezed less seals cold and new, and may not when it has aged",
            harm="leaks",
            milestone="drive",
            fix="the ring with the thicker cord that belongs to this tube and pump",
            source="oring-guide",
            usual=True,
        ),
        Limit.at_most(
            22 * percent,
            why="a static radial ring squeezed more is cut at the mouth of the bore or takes a set early",
            harm="leaks",
            milestone="drive",
            fix="the ring with the thinner cord that belongs to this tube and pump",
            source="oring-guide",
            usual=True,
        ),
    ),
    when={pickup.joint: ("radial",)},
    cases=(
        Case(
            {"bore": 25.4 * mm, "groove": 19.6 * mm, "cord": 3.53 * mm, "inner": 19.6 * mm}, (3.53 - 2.9) / 3.53, True,
            "from the definition: gland depth 2.9 mm, ring not stretched",
        ),
        Case(
            {"bore": 25.4 * mm, "groove": 19.046 * mm, "cord": 3.53 * mm, "inner": 19.046 * mm}, 0.1, None,
            "on the limit: gland depth 0.9 of the cord",
        ),
        Case(
            {"bore": 24.0 * mm, "groove": 18.0 * mm, "cord": 4.0 * mm, "inner": 18.0 * mm}, 0.25, None,
            "from the definition: usual in a face, not around a spigot",
        ),
        Case(
            {"bore": 24.44 * mm, "groove": 19.0 * mm, "cord": 2.62 * mm, "inner": 19.0 * mm}, (2.62 - 2.72) / 2.62, False,
            "orn-14 of the check values: gland deeper than the cord is a gap", 1e-9,
        ),
    ),
    advice="A seal maker's guide gives 15 to 22 % for a static radial ring, a handbook 27 % for a cord of 1.78 mm down to "
    "18 % for 7 mm. The cord thins as the ring is stretched, here at constant volume.",
)  # fmt: skip
def pickup_seal_squeeze(
    bore=oil_pump.inlet_bore, groove=pickup.groove_diameter, cord=pickup_seal.cord, inner=pickup_seal.inner_diameter
):
    """squeeze = (stretched cord - gland depth) / stretched cord, gland depth = (bore - groove) / 2"""
    thinned = thinned_cord(cord, thinning_constant_volume(stretch(inner, groove)))
    return squeeze(thinned, (bore - groove) / 2)
