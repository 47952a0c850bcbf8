"""A pickup that passes wholly below the tray must not be pressed on by it: a tube that is pushed down leaves its bore."""

from kb.roles import pickup, windage_tray
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "tray-to-pickup",
    "clearance",
    "length",
    "linear",
    asks="Does the pickup clear the windage tray above it?",
    limits=(
        Limit.at_least(
            0.0,
            why="the tray presses on the pickup's tube, which works loose or breaks at its bracket",
            harm="destroys",
            milestone="prime",
            fix="a tray with a cut-out for the pickup, or the pickup made for this tray",
            source="definition",
        ),
        Limit.at_least(
            1.5 * mm,
            why="both shake: with less room than this they knock",
            harm="wears",
            milestone="drive",
            fix="a tray with a cut-out for the pickup, or re-bend the tray",
            source="memory",
        ),
    ),
    when={windage_tray.pickup_way: ("below",)},
    cases=(
        Case({"tube": 34 * mm, "tray": 26 * mm}, 8 * mm, True, "hand sum"),
        Case({"tube": 39.5 * mm, "tray": 38 * mm}, 1.5 * mm, True, "on the limit"),
        Case({"tube": 34 * mm, "tray": 38 * mm}, -4 * mm, False, "hand sum"),
    ),
    advice="Where the tube comes through a cut-out, prove it with clay around the tube and two full turns by hand.",
)
def tray_to_pickup(tube=pickup.top_depth, tray=windage_tray.bottom_depth):
    """room = highest point of the pickup's tube - lowest point of the tray, both depths from the rail"""
    return tube - tray
