"""A gasket with one hole more than the old one asks for a hole in the block that this block may not have."""

from kb.roles import head_gasket
from kb.rules._rule import Case, Limit, rule


@rule(
    "head-gasket-holes",
    "cooling",
    "number",
    "count",
    asks="Does every extra hole of the head gasket meet a hole of block and head?",
    limits=(
        Limit.at_most(
            0,
            why="an extra hole over solid metal has no flow, and its edge is not sealed as its maker meant: the gasket goes "
            "between the middle pair",
            harm="destroys",
            milestone="drive",
            fix="the gasket without that hole, or the block drilled as its maker's sheet says, by its maker's size",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"met": True}, 0, True, "on the limit, from the definition"),
        Case({"met": False}, 1, False, "from the definition"),
    ),
)
def head_gasket_holes(met=head_gasket.extra_holes_met):
    """faults = 1 if a hole of the gasket lies over solid metal, else 0"""
    return 1 - met * 1
