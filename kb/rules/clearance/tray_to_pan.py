"""A tray that touches the shallow part of the pan rattles, wears through and sheds chips into the oil."""

from kb.roles import pan, pan_gasket, windage_tray
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "tray-to-pan",
    "clearance",
    "length",
    "linear",
    asks="Does the windage tray clear the shallow part of the pan?",
    limits=(
        Limit.at_least(
            0.0,
            why="the tray lies on the pan: it holds the flange off, or rattles and wears through",
            harm="wears",
            milestone="prime",
            fix="a pan with a lower shelf, or a flatter tray",
            source="definition",
        ),
        Limit.at_least(
            3.0 * mm,
            why="sheet metal shakes: with less room than this the tray touches the pan under way",
            harm="wears",
            milestone="drive",
            fix="a pan with a lower shelf, or re-bend the tray",
            source="memory",
        ),
    ),
    cases=(
        Case({"shelf": 104 * mm, "gasket": 2 * mm, "rim": 1 * mm, "tray": 38 * mm}, 69 * mm, True, "hand sum"),
        Case({"shelf": 40 * mm, "gasket": 1 * mm, "rim": 0.0, "tray": 38 * mm}, 3 * mm, True, "on the limit"),
        Case({"shelf": 33 * mm, "gasket": 2 * mm, "rim": 0.0, "tray": 38 * mm}, -3 * mm, False, "hand sum"),
    ),
)
def tray_to_pan(
    shelf=pan.shelf_depth,
    gasket=pan_gasket.installed_thickness,
    rim=windage_tray.rim_thickness,
    tray=windage_tray.bottom_depth,
):
    """room = depth of the shelf + clamped gasket + tray rim - lowest point of the tray, both from the rail"""
    return shelf + gasket + rim - tray
