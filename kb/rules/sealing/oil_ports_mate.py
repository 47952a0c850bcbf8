"""An oil passage that comes out on one face must go on in the other, or be plugged: a pan from the sister engine may lack
the passage, or carry one that the block knows nothing of."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, rule
from kb.rules.sealing._ports import Hole, plugged, unmated


@rule(
    "oil-ports-mate",
    "sealing",
    "number",
    "count",
    asks="Does every oil passage in the pan joint go on in the other part, or end in a plug?",
    limits=(
        Limit.at_most(
            0,
            why="oil under pressure leaves through the open passage, or never arrives",
            harm="destroys",
            milestone="prime",
            fix="the pan that carries this passage, or plug it where the block's maker allows that",
            source="definition",
        ),
    ),
    cases=(
        Case({"block_side": [Hole("rear-feed")], "pan_side": [Hole("rear-feed")]}, 0, True, "on the limit"),
        Case({"block_side": [Hole("rear-feed")], "pan_side": []}, 1, False, "from the definition"),
        Case({"block_side": [], "pan_side": [Hole("rear-feed")]}, 1, False, "the other way round"),
        Case(
            {"block_side": [Hole("rear-feed", closed=True)], "pan_side": [Hole("rear-feed")]}, 0, True, "met by a plug"
        ),
        Case({"block_side": [Hole("drain", "drain")], "pan_side": []}, 0, True, "a drain falls into the sump"),
    ),
    detail=lambda block_side, pan_side: {"notes": [*unmated(block_side, pan_side), *plugged(block_side, pan_side)]},
)
def oil_ports_mate(block_side=block.ports.of("duty", "closed"), pan_side=pan.ports.of("duty", "closed")):
    """unmated = feed and suction passages that are open on one face and meet neither mate nor plug on the other"""
    return len(unmated(block_side, pan_side))
