"""A gasket from the other version covers a passage, or fails to ring it: lay it on both faces and ink the holes."""

from kb.roles import block, pan_gasket
from kb.rules._rule import Case, Limit, rule
from kb.rules.sealing._ports import Hole, covered


@rule(
    "gasket-holes",
    "sealing",
    "number",
    "count",
    asks="Does the gasket leave every open passage of the block open?",
    limits=(
        Limit.at_most(
            0,
            why="the gasket covers the passage, and nothing passes",
            harm="destroys",
            milestone="prime",
            fix="the gasket for this block; cutting a hole gives no land that seals around it",
            source="definition",
        ),
    ),
    when={pan_gasket.style: ("sheet", "molded", "carrier_bead")},
    cases=(
        Case({"block_side": [Hole("rear-feed")], "holes": [Hole("rear-feed")]}, 0, True, "on the limit"),
        Case(
            {"block_side": [Hole("rear-feed"), Hole("plugged", closed=True)], "holes": []},
            1,
            False,
            "from the definition",
        ),
    ),
    detail=lambda block_side, holes: {
        "notes": [f"{name}: no hole in the gasket" for name in covered(block_side, holes)]
    },
)
def gasket_holes(block_side=block.ports.of("closed"), holes=pan_gasket.holes.of("id")):
    """covered = open passages of the block that have no hole in the gasket"""
    return len(covered(block_side, holes))
