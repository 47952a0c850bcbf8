"""A ring in the flange of the pickup is squeezed between groove floor and pump face; on a flange with one bolt the far
side stands off, and the ring must still seal there."""

from kb.roles import pickup, pickup_seal
from kb.rules._rule import Case, Limit, mm, percent, rule
from kb.standards.orings import squeeze


@rule(
    "pickup-seal-face-squeeze",
    "oil",
    "percent",
    "smooth",
    asks="Is the ring in the pickup's flange squeezed enough, even at the side away from the bolt?",
    limits=(
        Limit.at_least(
            10 * percent,
            why="a ring squeezed less lets the pump draw air",
            harm="destroys",
            milestone="prime",
            fix="a thicker cord, or a clamp or second bolt that holds the far side down",
            source="oring-lecture",
        ),
        Limit.at_most(
            35 * percent,
            why="a ring squeezed more overfills its groove and holds the flange off",
            harm="leaks",
            milestone="prime",
            fix="a thinner cord",
            source="oring-lecture",
        ),
        Limit.at_least(
            20 * percent,
            why="a face ring squeezed less seals cold and new, and may not when it has aged",
            harm="leaks",
            milestone="drive",
            fix="the ring with the thicker cord that belongs to this tube and pump",
            source="oring-guide",
            usual=True,
        ),
        Limit.at_most(
            28 * percent,
            why="a face ring squeezed more is overfills its groove when hot",
            harm="leaks",
            milestone="drive",
            fix="the ring with the thinner cord that belongs to this tube and pump",
            source="oring-guide",
            usual=True,
        ),
    ),
    when={pickup.joint: ("face",)},
    cases=(
        Case({"cord": 3.5306 * mm, "depth": 2.6416 * mm, "lift": 0.0}, 0.25180, True,
             "orn-06 of the check values: 0.139 in cord, 0.104 in gland", 1e-4),
        Case({"cord": 3.0 * mm, "depth": 2.5 * mm, "lift": 0.2 * mm}, 0.1, None, "on the limit, from the definition"),
        Case({"cord": 3.0 * mm, "depth": 2.2 * mm, "lift": 0.7 * mm}, 0.1 / 3.0, False, "from the definition"),
    ),
    advice="A seal maker's guide gives 20 to 28 % for a face ring.",
)  # fmt: skip
def pickup_seal_face_squeeze(cord=pickup_seal.cord, depth=pickup.groove_depth, lift=pickup.flange_lift):
    """squeeze = (cord - groove depth - lift at the far side) / cord"""
    return squeeze(cord, depth + lift)
