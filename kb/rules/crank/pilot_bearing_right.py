"""A pilot bearing left in the crank blocks a converter, and a missing one lets a manual box's shaft whip."""

from kb.roles import pilot, transmission
from kb.rules._rule import Case, Limit, rule


@rule(
    "pilot-bearing-right",
    "crank",
    "number",
    "count",
    asks="Is what sits in the crank's rear bore right for this sort of gearbox?",
    limits=(
        Limit.at_most(
            0,
            why="a leftover bearing holds the converter off and pushes the crank; without one a manual's input shaft whips",
            harm="destroys",
            milestone="crank",
            fix="automatic: pull the bearing, fit a sleeve only; manual: pull the sleeve, fit the bearing that matches",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"gearbox": "automatic", "fitted": "none"}, 0, True, "on the limit, from the definition"),
        Case({"gearbox": "manual", "fitted": "bush"}, 0, True, "from the definition"),
        Case({"gearbox": "automatic", "fitted": "bearing"}, 1, False, "trade page: converter stuck 3/8 in short"),
        Case({"gearbox": "manual", "fitted": "sleeve"}, 1, False, "trade page"),
    ),
)
def pilot_bearing_right(gearbox=transmission.sort, fitted=pilot.sort):
    """faults = 1 for a bearing or bush with an automatic, or none with a manual, else 0"""
    bearing = (fitted == "bearing") + 0 + (fitted == "bush")
    manual = (gearbox == "manual") * 1
    return bearing + manual - 2 * bearing * manual
