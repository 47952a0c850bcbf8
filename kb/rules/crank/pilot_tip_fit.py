"""The input shaft's tip runs in the pilot bearing: two inside diameters exist."""

from kb.roles import pilot, transmission
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pilot-tip-fit",
    "crank",
    "length",
    "linear",
    asks="Does the input shaft's tip run in the pilot bearing with little play?",
    limits=(
        Limit.at_least(
            0.0,
            why="the tip does not enter, and drawing the box up breaks the bearing",
            harm="destroys",
            milestone="crank",
            fix="the pilot bearing for this shaft",
            source="definition",
        ),
        Limit.at_most(
            0.508 * mm,
            name="off_centre",
            why="half of this play is twice the .005 in off centre that manual boxes stand",
            harm="destroys",
            milestone="drive",
            fix="the pilot bearing for this shaft",
            source="trade-page",
        ),
        Limit.at_most(
            0.15 * mm,
            why="more play lets the shaft whip",
            harm="wears",
            milestone="drive",
            fix="a new bearing, or the one for this shaft",
            source="memory",
        ),
    ),
    when={transmission.sort: ("manual",)},
    cases=(
        Case({"bore": 15.05 * mm, "tip": 15.0 * mm}, 0.05 * mm, True, "hand sum"),
        Case({"bore": 15.0 * mm, "tip": 15.0 * mm}, 0.0, True, "on the limit"),
        Case({"bore": 15.0 * mm, "tip": 19.0 * mm}, -4 * mm, False, "hand sum"),
    ),
)
def pilot_tip_fit(bore=pilot.bore, tip=transmission.tip_diameter):
    """play = bore of the bearing - tip of the shaft"""
    return bore - tip
