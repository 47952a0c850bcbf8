"""Between the starter's case and the battery's post lie straps, bodywork and a cable, side by side and end to end: what they
lose together is what the meter shows, and what every ground in the car is lifted by."""

from typing import Any

from kb.roles import battery_circuit, grounds, return_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._cable import Joint, whole
from kb.rules.electrical._ground import LOST, Strap, network, way_back, with_return
from kb.standards.wire import effective_area

ROOM = 293.15


def drop_back(current: Any, links: Any, lands_on: str, length: Any, area: Any, temperature: Any, joints: Any) -> Any:
    """Volts lost from engine to battery; all of them where nothing joins the two."""
    ohms = way_back(with_return(network(links, temperature), lands_on, whole(length, area, temperature, joints), area))
    return LOST if ohms is None else min(current * ohms, LOST)


def _told(
    current: Any, links: Any, lands_on: str, length: Any, area: Any, temperature: Any, joints: Any
) -> dict[str, Any]:
    drop = drop_back(current, links, lands_on, length, area, temperature, joints)
    name = (
        "low (0.2 V, trade page)"
        if drop <= 0.2
        else "tolerated (0.3 V, instrument manual)"
        if drop <= 0.3
        else "more than any source tolerates"
    )
    return {"notes": [f"{drop:.2f} V from engine to battery: {name}"]}


_CABLE = {"length": 1.0, "area": effective_area("2 AWG"), "temperature": ROOM}


@rule(
    "ground-return-drop",
    "electrical",
    "voltage",
    "stations",
    asks="Does the whole way back from engine to battery lose little enough while the starter turns?",
    limits=(
        Limit.at_most(
            0.3,
            why="the starter is robbed, and gauges, sensors and controller see the drop as a signal",
            harm="no_start",
            milestone="crank",
            fix="a thicker or a second strap; measure each link, and mend the one that loses most",
            source="instrument-manual",
            name="tolerated",
        ),
    ),
    cases=(
        Case({"current": 200.0, "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.0005)], "lands_on": "body", **_CABLE, "length": 0.0, "joints": [Joint(0.0005)]},
             0.2, True, "Ohm's law, in series"),
        Case({"current": 200.0, "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.001, "a"), Strap("body", "engine", "sheet_metal", 0.0, 0.001, "b")], "lands_on": "body",
              **_CABLE, "length": 0.0, "joints": [Joint(0.001)]},
             0.3, True, "on the limit: two straps side by side, then the cable"),
        Case({"current": 200.0, "links": [Strap("engine", "body", "sheet_metal", 0.0, 0.009)], "lands_on": "body", **_CABLE, "length": 0.0, "joints": [Joint(0.001)]},
             2.0, False, "ele-04 of the check values: 0.01 ohm at 200 A"),
        Case({"current": 200.0, "links": [], "lands_on": "body", **_CABLE, "joints": []}, 12.0, False, "nothing joins them"),
    ),
    worst="most",
    detail=_told,
    advice="A jumper lead from the block to the battery's - post: if that cures it, the way back is the fault.",
    caution="Fuel and ignition off while the starter turns for the meter; stand clear of belts and fan.",
)  # fmt: skip
def ground_return_drop(
    current=battery_circuit.cranking_current,
    links=grounds.links.of("one", "other", "size", "length", "joints"),
    lands_on=return_cable.lands_on,
    length=return_cable.length,
    area=return_cable.area,
    temperature=return_cable.temperature,
    joints=return_cable.joints.of("resistance"),
):
    """drop = current x resistance of the network of return cable, straps and bodywork from engine to battery"""
    return [("engine to battery", drop_back(current, links, lands_on, length, area, temperature, joints))]
