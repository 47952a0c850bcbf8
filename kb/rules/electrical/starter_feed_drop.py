"""The way out to the starter by itself: post, clamp, cable, switch and stud."""

from typing import Any

from kb.roles import battery_circuit, feed_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._cable import Joint, size_notes, whole
from kb.standards.wire import awg_area

ROOM = 293.15


def _told(current: Any, length: Any, area: Any, temperature: Any, joints: Any) -> dict[str, Any]:
    ends = sum(each.resistance for each in joints)
    drop = current * whole(length, area, temperature, joints)
    name = (
        "low (0.2 V, trade page)"
        if drop <= 0.2
        else "tolerated (0.5 V, service manual)"
        if drop <= 0.5
        else "more than any source tolerates"
    )
    return {"notes": [f"{drop:.2f} V: {name}", *size_notes(current, length, temperature, ends, 0.5)]}


@rule(
    "starter-feed-drop",
    "electrical",
    "voltage",
    "smooth",
    asks="Does the cable from the battery to the starter lose little enough by itself?",
    limits=(
        Limit.at_most(
            0.5,
            why="no maker allows more from post to stud",
            harm="no_start",
            milestone="crank",
            fix="a thicker feed cable, crimped lugs, or fewer joints",
            source="service-manual",
            name="tolerated",
        ),
    ),
    cases=(
        Case({"current": 200.0, "length": 3.5, "area": awg_area(2), "temperature": ROOM, "joints": []}, 0.358866, True,
             "half of awg-06 of the check values", 1e-3),
        Case({"current": 250.0, "length": 3.2, "area": 250 * 3.2 / 58e6 / 0.5, "temperature": ROOM, "joints": []}, 0.5, True,
             "on the limit: ele-05 of the check values, 27.6 mm2 over 3.2 m at 250 A"),
        Case({"current": 200.0, "length": 0.0, "area": awg_area(2), "temperature": ROOM, "joints": [Joint(0.01)]}, 2.0, False,
             "ele-04 of the check values"),
    ),
    detail=_told,
    caution="Fuel and ignition off while the starter turns for the meter; stand clear of belts and fan.",
)  # fmt: skip
def starter_feed_drop(
    current=battery_circuit.cranking_current,
    length=feed_cable.length,
    area=feed_cable.area,
    temperature=feed_cable.temperature,
    joints=feed_cable.joints.of("resistance"),
):
    """drop = current x (rho L/A + joints) of the feed cable"""
    return current * whole(length, area, temperature, joints)
