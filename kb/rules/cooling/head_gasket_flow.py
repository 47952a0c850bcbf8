"""Hole sizes in a head gasket set how much coolant reaches the far end: a gasket of the sister engine bolts on and starves the
rear cylinders."""

from kb.roles import block, head_gasket
from kb.rules._rule import Case, Limit, rule


@rule(
    "head-gasket-flow",
    "cooling",
    "number",
    "count",
    asks="Are head gasket and block of one family of coolant holes?",
    limits=(
        Limit.at_most(
            0,
            why="coolant takes the short way and the far cylinders run hot",
            harm="destroys",
            milestone="fire",
            fix="the gasket for this block; never open its holes by guess",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_gasket": "late", "on_block": "late"}, 0, True, "on the limit, from the definition"),
        Case({"on_gasket": "early", "on_block": "late"}, 1, False, "from the definition"),
    ),
    advice="Holes of gasket and block need not be of one size: small holes are small on purpose (trade page).",
)
def head_gasket_flow(on_gasket=head_gasket.flow, on_block=block.gasket_flow):
    """mismatches = 1 if the families differ, else 0"""
    return (on_gasket != on_block) + 0
