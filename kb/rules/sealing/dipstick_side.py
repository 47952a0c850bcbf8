"""A boss on the wrong side leaves a hole open and the stick nowhere to go."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, rule


@rule(
    "dipstick-side",
    "sealing",
    "number",
    "count",
    asks="Is the dipstick boss on the side where this block has it?",
    limits=(
        Limit.at_most(
            0,
            why="the hole on one side stays open and the stick has no seat",
            harm="leaks",
            milestone="prime",
            fix="a pan with the boss on this side, or plug the hole and fit a stick through the block",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_block": "left", "on_pan": "left"}, 0, True, "on the limit, from the definition"),
        Case({"on_block": "left", "on_pan": "right"}, 1, False, "from the definition"),
    ),
)
def dipstick_side(on_block=block.dipstick_side, on_pan=pan.dipstick_side):
    """mismatches = 1 unless the stick has one way in: through the block, or through the pan's boss on the block's side"""
    nowhere = (on_block == "pan") & (on_pan == "block")
    another_side = (on_block != "pan") & (on_pan != "block") & (on_block != on_pan)
    return (nowhere | another_side) + 0
