"""One name covers two outlines: the pan's bolt holes and corners must be those of this block's rail."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, rule


@rule(
    "rail-pattern",
    "sealing",
    "number",
    "count",
    asks="Is the pan's bolt pattern the one of this block?",
    limits=(
        Limit.at_most(
            0,
            why="the bolts or the corners do not meet",
            harm="leaks",
            milestone="prime",
            fix="a pan for this block's rail, or an adapter plate counted in as a spacer",
            source="definition",
        ),
    ),
    cases=(
        Case({"on_block": "calder-33", "on_pan": "calder-33"}, 0, True, "on the limit, from the definition"),
        Case({"on_block": "calder-33", "on_pan": "calder-38"}, 1, False, "from the definition"),
    ),
)
def rail_pattern(on_block=block.rail_pattern, on_pan=pan.rail_pattern):
    """mismatches = 1 if block and pan differ, else 0"""
    return (on_block != on_pan) + 0
