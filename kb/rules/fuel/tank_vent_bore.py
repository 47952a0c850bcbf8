"""A hole in the cap no wider than a nail is soon shut by dirt or paint, and cars have quit at speed for it."""

from kb.roles import fuel_tank
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "tank-vent-bore",
    "fuel",
    "length",
    "linear",
    asks="Is the tank's vent more than a nail hole?",
    limits=(
        Limit.at_least(
            2.38125 * mm,
            why="vents of 1/16 to 3/32 in were found to starve the pump",
            harm="no_start",
            milestone="drive",
            fix="a proper vent line with a rollover valve",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"bore": 6 * mm}, 6 * mm, True, "from the definition"),
        Case({"bore": 2.38125 * mm}, 2.38125 * mm, True, "3/32 in, on the limit"),
        Case({"bore": 1.6 * mm}, 1.6 * mm, False, "1/16 in"),
    ),
    advice="For a high demand 1/2 in is used (trade page).",
    caution=CAUTION + " Fuel vapour: cold tank, no lamp.",
)
def tank_vent_bore(bore=fuel_tank.vent_bore):
    """bore = narrowest bore on the vent's way"""
    return bore
