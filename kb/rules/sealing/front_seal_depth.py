"""Two depths of front cover share one name, and gasket sets carry a thick and a thin front seal because of it."""

from kb.roles import block, pan
from kb.rules._rule import Case, Limit, rule


@rule(
    "front-seal-depth",
    "sealing",
    "number",
    "count",
    asks="Is the pan's front arch made for this front cover?",
    limits=(
        Limit.at_most(
            0,
            why="the front of the pan stands off, or is bowed down by a seal that is too thick",
            harm="leaks",
            milestone="prime",
            fix="the other front seal from the set, or the other front cover",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_block": "thin", "on_pan": "thin"}, 0, True, "on the limit, from the definition"),
        Case({"on_block": "thin", "on_pan": "thick"}, 1, False, "from the definition"),
    ),
)
def front_seal_depth(on_block=block.front_seal, on_pan=pan.front_seal):
    """mismatches = 1 if block and pan differ, else 0"""
    return (on_block != on_pan) + 0
