"""The starter's current goes home by every way that it finds, through straps and sheet metal as well as the cable: the
loop is only as good as what was measured, not what was assumed."""

from typing import Any

from kb.roles import battery_circuit, feed_cable, grounds, return_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._cable import Joint, tier, whole
from kb.rules.electrical._ground import Strap
from kb.rules.electrical.ground_return_drop import drop_back
from kb.standards.wire import awg_area

ROOM = 293.15
_BOTH = {"current": 200.0, "area": awg_area(2), "temperature": ROOM, "back_area": awg_area(2), "back_temperature": ROOM}


def _told(
    current: Any, length: Any, area: Any, temperature: Any, joints: Any, links: Any, lands_on: str, back: Any, back_area: Any,
    back_temperature: Any, back_joints: Any,
) -> dict[str, Any]:  # fmt: skip
    out = current * whole(length, area, temperature, joints)
    home = drop_back(current, links, lands_on, back, back_area, back_temperature, back_joints)
    return {"notes": [f"{out:.2f} V on the way out, {home:.2f} V on the way back: {tier(out + home)}"]}


@rule(
    "starter-loop-drop",
    "electrical",
    "voltage",
    "stations",
    asks="Do the feed cable and the whole way back, straps and bodywork with it, leave the starter its voltage?",
    limits=(
        Limit.at_most(
            0.8,
            why="the starter turns slowly when hot, or only clicks",
            harm="no_start",
            milestone="crank",
            fix="a return cable alongside the feed cable, straight to the engine",
            source="instrument-manual",
            name="tolerated",
        ),
        Limit.at_most(
            0.5,
            why="half a volt in all is what the manuals call sound",
            harm="no_start",
            milestone="crank",
            fix="a thicker strap from engine to body, or a return cable alongside the feed cable",
            source="starter-manuals",
            usual=True,
            name="normal",
        ),
    ),
    cases=(
        Case({**_BOTH, "length": 3.5, "joints": [], "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.0005)], "lands_on": "body", "back": 0.0, "back_joints": []},
             0.358866 + 0.1, True, "half of awg-06 of the check values, and 0.5 milliohm at 200 A", 1e-3),
        Case({**_BOTH, "length": 0.0, "joints": [Joint(0.002)], "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.0005)], "lands_on": "body", "back": 0.0, "back_joints": []},
             0.5, True, "on the normal limit: Ohm's law", 1e-6),
        Case({**_BOTH, "length": 3.5, "joints": [], "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.01)], "lands_on": "body", "back": 0.0, "back_joints": []},
             0.358866 + 2.0, False, "half of awg-06, and ele-04 of the check values", 1e-3),
    ),
    worst="most",
    detail=_told,
    caution="Disconnect the battery's - lead before a lug is touched; no rings, no open flame.",
)  # fmt: skip
def starter_loop_drop(
    current=battery_circuit.cranking_current,
    length=feed_cable.length,
    area=feed_cable.area,
    temperature=feed_cable.temperature,
    joints=feed_cable.joints.of("resistance"),
    links=grounds.links.of("one", "other", "size", "length", "joints"),
    lands_on=return_cable.lands_on,
    back=return_cable.length,
    back_area=return_cable.area,
    back_temperature=return_cable.temperature,
    back_joints=return_cable.joints.of("resistance"),
):
    """drop = current x (feed cable and its joints + network from engine to battery)"""
    out = current * whole(length, area, temperature, joints)
    return [("both ways", out + drop_back(current, links, lands_on, back, back_area, back_temperature, back_joints))]
