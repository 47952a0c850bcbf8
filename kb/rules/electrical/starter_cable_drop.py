"""The starter gets what is left after both cables and every joint: with the battery behind the cab the way back counts as
much as the way out."""

from typing import Any

from kb.roles import battery_circuit, feed_cable, return_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._cable import Joint, size_notes, tier, whole
from kb.standards.wire import awg_area

ROOM = 293.15


def _told(
    current: Any, length: Any, area: Any, temperature: Any, joints: Any, back: Any, back_area: Any, back_temperature: Any,
    back_joints: Any,
) -> dict[str, Any]:  # fmt: skip
    out = whole(length, area, temperature, joints)
    home = whole(back, back_area, back_temperature, back_joints)
    drop = current * (out + home)
    ends = sum(each.resistance for each in (*joints, *back_joints))
    return {
        "notes": [
            f"{current * out:.2f} V on the way out, {current * home:.2f} V on the way back: {tier(drop)}",
            *size_notes(current, length + back, max(temperature, back_temperature), ends, 0.5),
        ]
    }


@rule(
    "starter-cable-drop",
    "electrical",
    "voltage",
    "smooth",
    asks="Do the cables and their joints, both ways, leave the starter its voltage?",
    limits=(
        Limit.at_most(
            0.8,
            why="the starter turns slowly when hot, or only clicks, and the spark starves with it",
            harm="no_start",
            milestone="crank",
            fix="thicker copper both ways, crimped lugs, fewer joints, or the battery nearer",
            source="instrument-manual",
            name="tolerated",
        ),
        Limit.at_most(
            0.5,
            why="half a volt in all is what the manuals call sound",
            harm="no_start",
            milestone="crank",
            fix="the next thicker cable both ways, or find the joint that loses most",
            source="starter-manuals",
            usual=True,
            name="normal",
        ),
    ),
    when={return_cable.lands_on: ("engine", "gearbox")},
    cases=(
        Case({"current": 200.0, "length": 3.5, "area": awg_area(2), "temperature": ROOM, "joints": [], "back": 3.5, "back_area": awg_area(2), "back_temperature": ROOM, "back_joints": []},
             0.717732, None, "awg-06 of the check values: more than normal, tolerated by one manual", 2e-3),
        Case({"current": 200.0, "length": 4.572, "area": awg_area(-1), "temperature": ROOM, "joints": [], "back": 4.572, "back_area": awg_area(-1), "back_temperature": ROOM, "back_joints": []},
             0.47, True, "trade rules: 15 + 15 ft of 2/0 at 200 A lose 0.47 V", 5e-3),
        Case({"current": 100.0, "length": 0.0, "area": awg_area(-1), "temperature": ROOM, "joints": [Joint(0.003)], "back": 0.0, "back_area": awg_area(-1), "back_temperature": ROOM, "back_joints": [Joint(0.002)]},
             0.5, True, "on the normal limit: joints alone, Ohm's law"),
        Case({"current": 200.0, "length": 4.572, "area": awg_area(4), "temperature": ROOM, "joints": [], "back": 4.572, "back_area": awg_area(4), "back_temperature": ROOM, "back_joints": []},
             1.49, False, "trade rules: 15 + 15 ft of 4 AWG at 200 A lose 1.49 V", 5e-3),
        Case({"current": 200.0, "length": 0.0, "area": awg_area(2), "temperature": ROOM, "joints": [Joint(0.01)], "back": 0.0, "back_area": awg_area(2), "back_temperature": ROOM, "back_joints": []},
             2.0, False, "ele-04 of the check values: 0.01 ohm at 200 A"),
    ),
    advice="Measured while cranking, fuel and ignition off: battery + post to starter stud, then starter case to - post.",
    detail=_told,
    caution="Disconnect the battery's - lead before a lug is touched; no rings, no open flame.",
)  # fmt: skip
def starter_cable_drop(
    current=battery_circuit.cranking_current,
    length=feed_cable.length,
    area=feed_cable.area,
    temperature=feed_cable.temperature,
    joints=feed_cable.joints.of("resistance"),
    back=return_cable.length,
    back_area=return_cable.area,
    back_temperature=return_cable.temperature,
    back_joints=return_cable.joints.of("resistance"),
):
    """drop = current x (rho L/A of both cables + all joints)"""
    return current * (whole(length, area, temperature, joints) + whole(back, back_area, back_temperature, back_joints))
