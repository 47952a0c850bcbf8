"""Rubber mounts insulate: an engine without a strap sends the starter's current home through the throttle cable, the
gearbox linkage or a thin wire of the controller, and they smoke."""

from kb.roles import grounds, return_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._ground import Strap, cut_off


@rule(
    "ground-return",
    "electrical",
    "number",
    "count",
    asks="Have engine, body and harness each a way of copper or steel back to the battery?",
    limits=(
        Limit.at_most(
            0,
            why="the current finds its own way: through control cables, bearings or the controller's loom",
            harm="fire",
            milestone="crank",
            fix="a strap of starter-cable size from a bell housing or starter bolt to the body, or to the return cable's end",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"links": [Strap("engine", "body"), Strap("harness", "engine")], "lands_on": "body"}, 0, True, "on the limit"),
        Case({"links": [Strap("harness", "body")], "lands_on": "body"}, 1, False, "trade page: no strap to the engine"),
        Case({"links": [Strap("engine", "gearbox")], "lands_on": "body"}, 3, False, "engine, gearbox and harness hang in the air"),
        Case({"links": [], "lands_on": "engine"}, 2, False, "body and harness have no way back"),
    ),
    detail=lambda links, lands_on: {"notes": [f"{place} has no way back to the battery" for place in cut_off(links, lands_on)]},
    caution="Disconnect the battery's - lead before a lug is touched.",
)  # fmt: skip
def ground_return(links=grounds.links.of("one", "other"), lands_on=return_cable.lands_on):
    """cut off = places without a chain of links to the battery's - post"""
    return len(cut_off(links, lands_on))
