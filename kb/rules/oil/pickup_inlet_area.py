"""Oil enters through the curtain between the foot's edge and the floor; if that is smaller than the tube's bore, the
floor is the restriction, however fine the tube."""

from kb.roles import pan, pan_gasket, pickup, windage_tray
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.standards.geometry import curtain_ratio, slot_perimeter


@rule(
    "pickup-inlet-area",
    "oil",
    "number",
    "smooth",
    asks="Is the opening between foot and floor at least as large as the tube's bore?",
    limits=(
        Limit.at_least(
            1.0,
            why="a curtain smaller than the bore throttles the pump before the tube does",
            harm="destroys",
            milestone="fire",
            fix="more gap under the foot, or a wider foot",
            source="definition",
        ),
        Limit.at_least(
            2.0,
            why="twice the bore keeps the loss at the mouth small",
            harm="wears",
            milestone="drive",
            fix="more gap under the foot, or a wider foot",
            source="memory",
        ),
    ),
    cases=(
        Case(
            {"depth": 106.4 * mm, "gasket": 0.0, "tray": 0.0, "hang": 100 * mm, "length": 76 * mm, "width": 76 * mm,
             "bore": 15.9 * mm}, 4 * 76 * 6.4 / 15.9**2, True, "trade rules page: a 76 mm foot on a 15.9 mm tube, at 6.4 mm",
        ),
        Case(
            {"depth": 6 * mm, "gasket": 0.0, "tray": 0.0, "hang": 0.0, "length": 20 * mm, "width": 20 * mm,
             "bore": 20 * mm}, 1.2, None, "geo-02 of the check values: 4h/D = 1.2, from the definition",
        ),
        Case(
            {"depth": 104.75 * mm, "gasket": 0.0, "tray": 0.0, "hang": 100 * mm, "length": 19 * mm, "width": 19 * mm,
             "bore": 19 * mm}, 1.0, None, "geo-01 of the check values: h = D/4 gives 1, on the limit", 1e-9,
        ),
        Case(
            {"depth": 101 * mm, "gasket": 0.0, "tray": 0.0, "hang": 100 * mm, "length": 19 * mm, "width": 19 * mm,
             "bore": 19 * mm}, 4 / 19, False, "from the definition",
        ),
    ),
    advice="Four times the bore is comfortable (from memory).",
)  # fmt: skip
def pickup_inlet_area(
    depth=pan.sump_depth,
    gasket=pan_gasket.installed_thickness,
    tray=optional(windage_tray.rim_thickness, absent=0.0),
    hang=pickup.hang,
    length=pickup.foot_length,
    width=pickup.foot_width,
    bore=pickup.tube_bore,
):
    """ratio = perimeter of the mouth x gap / area of the tube's bore"""
    return curtain_ratio(slot_perimeter(length, width), depth + gasket + tray - hang, bore)
