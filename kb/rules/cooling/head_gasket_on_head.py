"""The gasket that suits the block must suit the head as well: between sister engines the heads were changed too."""

from kb.roles import cylinder_head, head_gasket
from kb.rules._rule import Case, Limit, rule


@rule(
    "head-gasket-on-head",
    "cooling",
    "number",
    "count",
    asks="Are head gasket and cylinder head of one family of coolant holes?",
    limits=(
        Limit.at_most(
            0,
            why="the gasket shuts holes of the head that the flow needs, and the far cylinders run hot",
            harm="destroys",
            milestone="fire",
            fix="gasket and heads of one family; never open the gasket's holes by guess",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"on_gasket": "late", "on_head": "late"}, 0, True, "on the limit, from the definition"),
        Case({"on_gasket": "late", "on_head": "early"}, 1, False, "from the definition"),
    ),
)
def head_gasket_on_head(on_gasket=head_gasket.flow, on_head=cylinder_head.gasket_flow):
    """mismatches = 1 if the families differ, else 0"""
    return (on_gasket != on_head) + 0
