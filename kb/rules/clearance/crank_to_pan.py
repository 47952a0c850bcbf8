"""The shallow part of the pan lies right under the crank: it must stay clear of the lowest rod bolt or counterweight."""

from kb.roles import block, crank, pan, pan_gasket, windage_tray
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.clearance._sweep import sweep_depth


@rule(
    "crank-to-pan",
    "clearance",
    "length",
    "rough",
    asks="Do crank and rods clear the shallow part of the pan?",
    limits=(
        Limit.at_least(
            3.0 * mm,
            why="sheet metal nearer than this is struck when rods and crank grow hot and whip",
            harm="destroys",
            milestone="crank",
            fix="a pan with a lower shelf, or dimple the shelf over a wooden block",
            source="trade-page",
        ),
    ),
    cases=(
        Case(
            {
                "surface": 38 * mm,
                "gasket": 1 * mm,
                "tray": 1 * mm,
                "drop": -60 * mm,
                "weight": 85 * mm,
                "big_end": 90 * mm,
            },
            10 * mm,
            True,
            "hand sum",
        ),
        Case(
            {
                "surface": 31 * mm,
                "gasket": 1.5 * mm,
                "tray": 0.5 * mm,
                "drop": -60 * mm,
                "weight": 90 * mm,
                "big_end": 88 * mm,
            },
            3.0 * mm,
            True,
            "on the limit",
        ),
        Case(
            {
                "surface": 28 * mm,
                "gasket": 1 * mm,
                "tray": 0.0,
                "drop": -60 * mm,
                "weight": 90 * mm,
                "big_end": 88 * mm,
            },
            -1 * mm,
            False,
            "hand sum",
        ),
    ),
    advice="Prove it with clay on the part and two full turns by hand.",
)
def crank_to_pan(
    surface=pan.shelf_depth,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
    drop=block.crank_drop,
    weight=crank.counterweight_swing,
    big_end=crank.big_end_swing,
):
    """room = depth of the shelf + clamped gasket + tray rim - lowest point that the crank sweeps, both from the rail"""
    return surface + gasket + tray - sweep_depth(drop, weight, big_end)
