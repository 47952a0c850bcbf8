"""A water pump that the belt turns backwards hardly pumps, whatever its bolts say: the belt's back turns it against the
crank."""

from typing import Any

from kb.roles import belt_layout, water_pump
from kb.rules._rule import Case, Limit, rule
from kb.rules.accessory._drive import Wheel, in_order, ways


def _given(side: Any, impeller: Any, crank: Any = "clockwise") -> Any:
    return {
        "pulleys": [Wheel("crank", drives="crank", turns=crank), Wheel("pump", side=side, drives="water_pump")],
        "tensioners": [],
        "impeller": impeller,
    }


@rule(
    "pump-rotation-and-face",
    "accessory",
    "number",
    "count",
    asks="Does the belt turn the water pump the way that its impeller wants?",
    limits=(
        Limit.at_most(
            0,
            why="a pump turned backwards moves about a tenth of its flow, and the engine boils",
            harm="destroys",
            milestone="drive",
            fix="the pump or cover of the other rotation, or the belt led over the pump's other side",
            source="trade-page",
        ),
    ),
    cases=(
        Case(_given("rib", "clockwise"), 0, True, "on the limit: the rib side turns with the crank"),
        Case(_given("back", "anticlockwise"), 0, True, "the back turns against it"),
        Case(_given("back", "clockwise"), 1, False, "a pump of the rib side, driven by the back"),
        Case(_given("rib", "anticlockwise"), 1, False, "trade page: routing of the other drive"),
        Case(_given("rib", "anticlockwise", "anticlockwise"), 0, True, "a crank that turns the other way"),
    ),
    detail=lambda *given: {"notes": _told(*given)},
    caution="Look at the impeller itself: covers and pumps of both rotations share bolts.",
)
def pump_rotation_and_face(
    pulleys=belt_layout.pulleys.of("side", "drives", "turns"),
    tensioners=belt_layout.tensioners.of("after", "side", "drives", "turns"),
    impeller=water_pump.turns,
):
    """backwards = pump pulleys that turn against the impeller; rib side turns with the crank, back against it"""
    return sum(way != impeller for _, way, _ in _pumps(pulleys, tensioners))


def _pumps(pulleys: Any, tensioners: Any) -> Any:
    entries = in_order(pulleys, tensioners)
    return [
        (each.id, way, each.side)
        for each, way in zip(entries, ways(entries), strict=True)
        if each.drives == "water_pump"
    ]


def _told(pulleys: Any, tensioners: Any, impeller: Any) -> Any:
    pumps = _pumps(pulleys, tensioners)
    if not pumps:
        return ["no pulley of this layout drives the water pump"]
    return [
        f"{id} runs on the belt's {side} side and turns {way}; its impeller wants {impeller}"
        for id, way, side in pumps
        if way != impeller
    ]
