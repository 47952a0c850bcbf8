"""The sump is often the lowest thing on the car; the road is not flat."""

from kb.roles import car, pan, pan_gasket, windage_tray
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.clearance._bay import Box, lowest

_SUMP = [Box((0.30, 0.55), (-0.12, 0.12), depth=0.18), Box((0.0, 0.30), (-0.12, 0.12), depth=0.10)]


@rule(
    "pan-to-ground",
    "clearance",
    "length",
    "rough",
    asks="Does the pan hang high enough above the road?",
    limits=(
        Limit.at_least(
            0.0,
            why="the pan rests on the ground",
            harm="destroys",
            milestone="drive",
            fix="a shallower pan, or more ride height",
            source="definition",
        ),
        Limit.at_least(
            100 * mm,
            why="a stone or a ramp reaches a lower pan",
            harm="destroys",
            milestone="drive",
            fix="a shallower pan, a skid plate, or more ride height",
            source="memory",
        ),
    ),
    cases=(
        Case({"hull": _SUMP, "ground": 330 * mm, "gasket": 1 * mm, "tray": 0.0}, 149 * mm, True, "hand sum"),
        Case({"hull": _SUMP, "ground": 281.5 * mm, "gasket": 1.5 * mm, "tray": 0.0}, 100 * mm, True, "on the limit"),
        Case({"hull": _SUMP, "ground": 170 * mm, "gasket": 0.0, "tray": 0.0}, -10 * mm, False, "hand sum"),
    ),
    caution="Work under a car only on stands, wheels chocked.",
)
def pan_to_ground(
    hull=pan.hull.of("x_from", "x_to", "y_from", "y_to", "depth"),
    ground=car.ground,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
):
    """clearance = ground - lowest point of the pan's outside, lowered by gasket and tray, both from the rail"""
    return ground - lowest(hull, gasket + tray)
