"""The engine's harness belongs on the engine: grounded anywhere else, its sensors ride on the starter's drop, and a lost
strap puts the starter's current through it."""

from typing import Any

from kb.roles import grounds
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._ground import Strap

ON_ENGINE = frozenset({"engine", "left_head", "right_head"})
WIRING = frozenset({"harness", "controller"})


def _straight(links: Any) -> int:
    return sum(
        ((link.one in WIRING and link.other in ON_ENGINE) or (link.other in WIRING and link.one in ON_ENGINE)) + 0
        for link in links
    )


@rule(
    "harness-ground",
    "electrical",
    "number",
    "count",
    asks="Is the harness of engine and controller grounded straight to block or head?",
    limits=(
        Limit.at_least(
            1,
            why="sensors read the drop of the straps as a signal, and a lost strap burns the harness",
            harm="fire",
            milestone="fire",
            fix="bring the harness's and the controller's ground eyelets to one bolt of the block or head",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"links": [Strap("harness", "engine")]}, 1, True, "on the limit"),
        Case({"links": [Strap("left_head", "controller"), Strap("body", "engine")]}, 1, True, "on a head"),
        Case({"links": [Strap("harness", "body"), Strap("body", "engine")]}, 0, False, "by way of the body"),
    ),
    detail=lambda links: {
        "notes": [] if _straight(links) else ["no link runs straight from the harness to block or head"]
    },
)
def harness_ground(links=grounds.links.of("one", "other")):
    """straight grounds = links between harness or controller and block or head"""
    return _straight(links)
