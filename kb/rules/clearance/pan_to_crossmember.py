"""The engine rocks and the frame twists: what is bolted fast under the engine must stay clear of the pan."""

from kb.roles import car, pan, pan_gasket, windage_tray
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.clearance._bay import Box, hull_gap

_SUMP = [Box((0.30, 0.55), (-0.12, 0.12), depth=0.18)]


@rule(
    "pan-to-crossmember",
    "clearance",
    "length",
    "rough",
    asks="Does the pan clear the crossmember and whatever else is fixed below it?",
    limits=(
        Limit.at_least(
            15 * mm,
            why="the engine rocks on its mounts and a nearer frame knocks on the pan",
            harm="wears",
            milestone="drive",
            fix="a pan with its sump at the other end, a notch in the pan, or taller mounts",
            source="builders-guide",
        ),
    ),
    cases=(
        Case({"hull": _SUMP, "obstacles": [Box((0.10, 0.25), (-0.4, 0.4), top=0.09, sort="fixed")], "gasket": 0.0, "tray": 0.0},
             50 * mm, True, "hand sum: 300 - 250 mm"),
        Case({"hull": _SUMP, "obstacles": [Box((0.10, 0.285), (-0.4, 0.4), top=0.09, sort="fixed")], "gasket": 0.0, "tray": 0.0},
             15 * mm, True, "on the limit"),
        Case({"hull": _SUMP, "obstacles": [Box((0.10, 0.35), (-0.4, 0.4), top=0.172, sort="fixed")], "gasket": 1.5 * mm,
              "tray": 0.5 * mm}, -10 * mm, False, "hand sum: 180 + 2 - 172 mm deep into it"),
        Case({"hull": _SUMP, "obstacles": [], "gasket": 0.0, "tray": 0.0}, 1.0, True, "nothing there to touch"),
    ),
    advice="Prove it with clay balls, engine mocked up on its mounts.",
    caution="Work under a car only on stands, wheels chocked.",
)  # fmt: skip
def pan_to_crossmember(
    hull=pan.hull.of("x_from", "x_to", "y_from", "y_to", "depth"),
    obstacles=car.obstacles.of("sort", "x_from", "x_to", "y_from", "y_to", "top"),
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
):
    """gap = smallest distance between the pan's outside, lowered by gasket and tray, and the car's boxes"""
    return hull_gap(hull, obstacles, "fixed", gasket + tray)
