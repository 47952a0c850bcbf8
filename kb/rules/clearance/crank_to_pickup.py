"""The pickup's tube and bracket pass under the crank: they must stay clear of the lowest rod bolt or counterweight."""

from kb.roles import block, crank, pickup
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.clearance._sweep import sweep_depth


@rule(
    "crank-to-pickup",
    "clearance",
    "length",
    "rough",
    asks="Do crank and rods clear the pickup's tube?",
    limits=(
        Limit.at_least(
            1.5 * mm,
            why="a tube nearer than this is struck by a rod",
            harm="destroys",
            milestone="crank",
            fix="re-route the tube, or the pickup made for this stroke",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"surface": 40 * mm, "drop": -60 * mm, "weight": 85 * mm, "big_end": 90 * mm}, 10 * mm, True, "hand sum"),
        Case(
            {"surface": (30 + 1.5) * mm, "drop": -60 * mm, "weight": 90 * mm, "big_end": 88 * mm},
            1.5 * mm,
            True,
            "on the limit",
        ),
        Case({"surface": 29 * mm, "drop": -60 * mm, "weight": 90 * mm, "big_end": 88 * mm}, -1 * mm, False, "hand sum"),
    ),
    advice="Prove it with clay on the part and two full turns by hand.",
)
def crank_to_pickup(
    surface=pickup.top_depth,
    drop=block.crank_drop,
    weight=crank.counterweight_swing,
    big_end=crank.big_end_swing,
):
    """room = depth of the part under the crank - lowest point that the crank sweeps, both from the rail"""
    return surface - sweep_depth(drop, weight, big_end)
