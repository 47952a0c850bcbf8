"""An ignition module behind the coil's ballast gets its supply in bites, and drops out when the coil fills."""

from kb.roles import coil_feed
from kb.rules._rule import Case, Limit, rule


@rule(
    "module-feed",
    "ignition",
    "number",
    "count",
    asks="Does the ignition module take its supply before the ballast?",
    limits=(
        Limit.at_most(
            0,
            why="the module starves on what the ballast leaves",
            harm="no_start",
            milestone="fire",
            fix="a wire of its own from the switch to the module",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"module": "full"}, 0, True, "on the limit"),
        Case({"module": "none"}, 0, True, "points need none"),
        Case({"module": "behind_ballast"}, 1, False, "trade page"),
    ),
)
def module_feed(module=coil_feed.module):
    """starved = 1 if the module's supply comes from behind the ballast"""
    return (module == "behind_ballast") + 0
