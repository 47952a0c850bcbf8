"""Cleaned blocks come back without their plugs, and a missing plug is an internal hose: every plug that this block needs
must have been seen in place."""

from kb.roles import block
from kb.rules._rule import Case, Limit, rule


class _Plug:
    def __init__(self, fitted: bool) -> None:
        self.fitted = fitted


@rule(
    "gallery-plugs",
    "sealing",
    "number",
    "count",
    asks="Is every plug and restrictor that this block needs in place?",
    limits=(
        Limit.at_most(
            0,
            why="oil runs out of the open gallery inside the engine: no pressure, and a dry floor",
            harm="destroys",
            milestone="prime",
            fix="fit the plug to the depth that the model gives, or re-tap and plug",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"plugs": [_Plug(True), _Plug(True)]}, 0, True, "on the limit"),
        Case({"plugs": [_Plug(True), _Plug(False)]}, 1, False, "from the definition"),
        Case({"plugs": []}, 0, True, "a block that needs none"),
    ),
)
def gallery_plugs(plugs=block.plugs.of("fitted")):
    """missing = plugs that were found absent"""
    return sum((not each.fitted) + 0 for each in plugs)
