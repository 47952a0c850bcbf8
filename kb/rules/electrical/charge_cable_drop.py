"""The alternator sets its voltage at its own terminal: what the cable to a far battery loses, the battery never gets."""

from typing import Any

from kb.roles import alternator, charge_cable
from kb.rules._rule import Case, Limit, rule
from kb.rules.electrical._cable import Joint, size_notes, whole

ROOM = 293.15


def _told(current: Any, length: Any, area: Any, temperature: Any, joints: Any) -> dict[str, Any]:
    return {"notes": size_notes(current, length, temperature, sum(each.resistance for each in joints), 0.5)}


@rule(
    "charge-cable-drop",
    "electrical",
    "voltage",
    "smooth",
    asks="Does the charge cable bring the alternator's full current to the battery without losing too much?",
    limits=(
        Limit.at_most(
            0.5,
            why="the battery is never full, and the cable is warm for hours",
            harm="nuisance",
            milestone="drive",
            fix="a thicker charge cable, or one that joins the starter's cable at its stud",
            source="practice",
        ),
    ),
    cases=(
        Case({"current": 100.0, "length": 2.0, "area": 2.0 * 100 / 58e6 / 0.5, "temperature": ROOM, "joints": []}, 0.5, True,
             "on the limit: rho L I / A by IEC 60028"),
        Case({"current": 70.0, "length": 1.0, "area": 16e-6, "temperature": ROOM, "joints": [Joint(0.0005)]}, 70 / 58 / 16 + 0.035, True, "hand sum"),
        Case({"current": 100.0, "length": 5.0, "area": 6e-6, "temperature": ROOM, "joints": []}, 500 / 58 / 6, False, "hand sum"),
    ),
    advice="Charging, read both ends: the difference is the cable.",
    detail=_told,
    caution="Fuse the charge cable at the battery; - lead off before a lug is touched.",
)  # fmt: skip
def charge_cable_drop(
    current=alternator.rated_current,
    length=charge_cable.length,
    area=charge_cable.area,
    temperature=charge_cable.temperature,
    joints=charge_cable.joints.of("resistance"),
):
    """drop = rated current x (rho L/A + joints) of the charge cable"""
    return current * whole(length, area, temperature, joints)
