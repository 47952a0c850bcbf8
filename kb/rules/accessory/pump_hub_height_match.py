"""Pumps with different hubs share their bolts: a quarter of an inch in the hub puts the belt out of its plane."""

from typing import Any

from kb.roles import belt_layout, water_pump
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.accessory._drive import Wheel

INCH = 25.4 * mm


def _given(drawn: Any, chosen: Any) -> Any:
    return {"pulleys": [Wheel("crank", drives="crank"), Wheel("pump", hub=drawn, drives="water_pump")], "tensioners": [],
            "hub": chosen}  # fmt: skip


@rule(
    "pump-hub-height-match",
    "accessory",
    "length",
    "stations",
    asks="Has this water pump the hub height that the layout was drawn for?",
    limits=(
        Limit.at_most(
            0.125 * INCH,
            why="hubs come in heights a quarter of an inch apart and more: this is the pump of another front end",
            harm="wears",
            milestone="drive",
            fix="the pump with the right hub, or the spacer named in the notes, then see pulley-plane-alignment",
            source="trade-page",
        ),
        Limit.at_most(
            0.5 * mm,
            why="castings of one number agree more closely than this",
            harm="wears",
            milestone="drive",
            fix="measure both pumps from the mounting face, gasket not counted; then see pulley-plane-alignment",
            source="memory",
        ),
    ),
    worst="most",
    cases=(
        Case(_given(5.795 * INCH, 5.80 * INCH), 0.005 * INCH, True, "hand sum"),
        Case(_given(5.795 * INCH, 5.92 * INCH), 0.125 * INCH, None, "on the limit", 1e-12),
        Case(
            _given(5.795 * INCH, 5.545 * INCH),
            0.25 * INCH,
            False,
            "heights of the trade page: 5.545 and 5.795 in",
            1e-12,
        ),
        Case(_given(0.1, 0.1005), 0.5 * mm, True, "on the limit", 1e-12),
    ),
    detail=lambda pulleys, tensioners, hub: {
        "notes": [_told(each, hub - each.hub) for each in _pumps(pulleys, tensioners) if abs(hub - each.hub) > 0.5 * mm]
    },
)
def pump_hub_height_match(
    pulleys=belt_layout.pulleys.of("drives", "hub"),
    tensioners=belt_layout.tensioners.of("drives", "hub"),
    hub=water_pump.hub_height,
):
    """difference = hub height of the pump chosen - that of the pump drawn in the layout, whichever way"""
    return [(each.id, abs(hub - each.hub)) for each in _pumps(pulleys, tensioners)]


def _pumps(pulleys: Any, tensioners: Any) -> Any:
    return [each for each in (*pulleys, *tensioners) if each.drives == "water_pump"]


def _told(entry: Any, more: Any) -> Any:
    amount = f"{abs(more) * 1e3:.2f} mm"
    if more < 0:
        return f"{entry.id}: the hub is {amount} shorter than drawn; a spacer as thick behind its pulley makes it up"
    return f"{entry.id}: the hub is {amount} taller than drawn; a pulley that much deeper, or the hub pressed or faced back"
