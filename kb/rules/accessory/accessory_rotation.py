"""Steering and vacuum pumps, and alternators with a one-way fan, work one way round only."""

from typing import Any

from kb.roles import belt_layout
from kb.rules._rule import Case, Limit, rule
from kb.rules.accessory._drive import Wheel, in_order, ways


def _given(side: Any, wants: Any) -> Any:
    return {
        "pulleys": [
            Wheel("crank", drives="crank", turns="clockwise"),
            Wheel("steering", side=side, drives="steering_pump", turns=wants),
        ],
        "tensioners": [],
    }


@rule(
    "accessory-rotation",
    "accessory",
    "number",
    "count",
    asks="Does the belt turn every accessory the way that it must turn?",
    limits=(
        Limit.at_most(
            0,
            why="turned backwards a vane pump gives no pressure, and an alternator's fan does not cool it",
            harm="wears",
            milestone="drive",
            fix="the accessory of the other rotation, or the belt led over its other side",
            source="practice",
        ),
    ),
    cases=(
        Case(_given("rib", "clockwise"), 0, True, "on the limit: with the crank"),
        Case(_given("back", "either"), 0, True, "from the definition"),
        Case(_given("back", "clockwise"), 1, False, "from the definition"),
    ),
    detail=lambda *given: {"notes": [f"{id} turns {way} and must turn {wants}" for id, way, wants in _wrong(*given)]},
)
def accessory_rotation(
    pulleys=belt_layout.pulleys.of("side", "drives", "turns"),
    tensioners=belt_layout.tensioners.of("after", "side", "drives", "turns"),
):
    """backwards = accessories that the belt turns the other way than they must turn"""
    return len(_wrong(pulleys, tensioners))


def _wrong(pulleys: Any, tensioners: Any) -> Any:
    entries = in_order(pulleys, tensioners)
    return [
        (each.id, way, each.turns)
        for each, way in zip(entries, ways(entries), strict=True)
        if each.turns not in ("either", way)
    ]
