"""A long cable makes a large battery small: what counts are the amperes that still arrive at the starter's stud."""

from kb.roles import battery, block, feed_cable, return_cable
from kb.rules._rule import Case, Limit, percent, rule
from kb.rules.electrical._cable import Joint, whole
from kb.standards.electric import CUBIC_INCH, cold_amperes_needed, crank_current_left

ROOM = 293.15
_NO_CABLE = {
    "length": 0.0,
    "area": 33.6e-6,
    "temperature": ROOM,
    "joints": [],
    "back": 0.0,
    "back_area": 33.6e-6,
    "back_temperature": ROOM,
    "back_joints": [],
}


@rule(
    "battery-capacity-at-starter",
    "electrical",
    "percent",
    "smooth",
    asks="Do enough cold cranking amperes arrive at the starter, behind both cables?",
    limits=(
        Limit.at_least(
            100 * percent,
            why="the battery is large enough by itself, and not behind these cables",
            harm="no_start",
            milestone="crank",
            fix="thicker cable both ways, fewer joints, or a larger battery",
            source="trade-page",
        ),
    ),
    when={return_cable.lands_on: ("engine", "gearbox")},
    cases=(
        Case({"rest": 12.6, "amperes": 300.0, "displacement": 200 * CUBIC_INCH, "cylinders": 6, **_NO_CABLE}, 1.0, True, "on the limit: no cable at all"),
        Case({"rest": 12.6, "amperes": 600.0, "displacement": 200 * CUBIC_INCH, "cylinders": 6, **_NO_CABLE, "joints": [Joint(0.0045)], "back_joints": [Joint(0.0045)]},
             1.0, True, "on the limit: 5.4 V over 0.009 + 0.009 ohm are 300 A"),
        Case({"rest": 12.6, "amperes": 400.0, "displacement": 200 * CUBIC_INCH, "cylinders": 6, **_NO_CABLE, "joints": [Joint(0.0135)]},
             200 / 300, False, "5.4 V over 0.0135 + 0.0135 ohm are 200 A, and 300 A are wanted"),
    ),
    detail=lambda rest, amperes, displacement, cylinders, length, area, temperature, joints, back, back_area, back_temperature, back_joints: {
        "notes": [
            f"{crank_current_left(rest, amperes, whole(length, area, temperature, joints) + whole(back, back_area, back_temperature, back_joints)):.0f} A "
            f"of {amperes:.0f} A arrive, for {cold_amperes_needed(displacement, cylinders):.0f} A wanted"
        ]
    },
)  # fmt: skip
def battery_capacity_at_starter(
    rest=battery.rest_voltage,
    amperes=battery.cold_amperes,
    displacement=block.displacement,
    cylinders=block.cylinders,
    length=feed_cable.length,
    area=feed_cable.area,
    temperature=feed_cable.temperature,
    joints=feed_cable.joints.of("resistance"),
    back=return_cable.length,
    back_area=return_cable.area,
    back_temperature=return_cable.temperature,
    back_joints=return_cable.joints.of("resistance"),
):
    """share = current at which the starter still has 7.2 V behind battery and cables / amperes wanted"""
    outside = whole(length, area, temperature, joints) + whole(back, back_area, back_temperature, back_joints)
    return crank_current_left(rest, amperes, outside) / cold_amperes_needed(displacement, cylinders)
