"""One-piece and two-piece rear seals want different rear arches, and the castings look alike."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, rule


@rule(
    "rear-seal-style",
    "sealing",
    "number",
    "count",
    asks="Is the pan's rear end made for this block's rear seal?",
    limits=(
        Limit.at_most(
            0,
            why="the rear end of the pan stands off, and oil leaves there at the first run",
            harm="leaks",
            milestone="prime",
            fix="a pan for this style of rear seal, or the adapter that is made for the pair",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_block": "one_piece", "on_pan": "one_piece"}, 0, True, "on the limit, from the definition"),
        Case({"on_block": "one_piece", "on_pan": "two_piece"}, 1, False, "from the definition"),
    ),
)
def rear_seal_style(on_block=block.rear_seal, on_pan=pan.rear_seal):
    """mismatches = 1 if block and pan differ, else 0"""
    return (on_block != on_pan) + 0
