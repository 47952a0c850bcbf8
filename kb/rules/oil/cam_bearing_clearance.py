"""A loose cam bearing bleeds off the oil that the rod bearings need."""

from kb.roles import cam_bearings
from kb.rules._rule import Case, Limit, rule

_THOU = 25.4e-6


@rule(
    "cam-bearing-clearance",
    "oil",
    "length",
    "linear",
    asks="Does the cam run in its bearings with the right clearance?",
    limits=(
        Limit.at_least(
            0.0,
            why="the journal does not enter the bearing",
            harm="destroys",
            milestone="prime",
            fix="ream the bearing, or the bearing of the right size",
            source="definition",
            name="enters",
        ),
        Limit.at_most(
            4 * _THOU,
            why="a looser bearing bleeds off the oil that the rods need",
            harm="destroys",
            milestone="fire",
            fix="new cam bearings, or an undersize bearing for this cam",
            source="trade-page",
            name="tolerated",
        ),
        Limit.at_least(
            2 * _THOU,
            why="a tighter one has no room for oil once it is warm",
            harm="wears",
            milestone="fire",
            fix="ream the bearing",
            source="trade-page",
            usual=True,
        ),
        Limit.at_most(
            3 * _THOU,
            why="0.002 to 0.003 in is the usual clearance; more lowers the pressure",
            harm="wears",
            milestone="drive",
            fix="new cam bearings",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"bore": 50.8635e-3, "journal": 50.8e-3}, 2.5 * _THOU, True, "hand sum"),
        Case({"bore": 50.8762e-3, "journal": 50.8e-3}, 3 * _THOU, True, "on a limit"),
        Case({"bore": 50.889e-3, "journal": 50.8e-3}, 3.50393701 * _THOU, None, "between usual and tolerated", 1e-12),
        Case({"bore": 50.927e-3, "journal": 50.8e-3}, 5 * _THOU, False, "hand sum"),
    ),
)
def cam_bearing_clearance(bore=cam_bearings.bore, journal=cam_bearings.journal):
    """clearance = bore of the tightest bearing - its journal"""
    return bore - journal
