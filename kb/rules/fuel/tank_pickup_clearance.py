"""A pickup that ends against a wall or in the foam sucks itself shut: its mouth wants one bore of clear room all round."""

from kb.roles import fuel_tank
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "tank-pickup-clearance",
    "fuel",
    "number",
    "smooth",
    asks="Does the mouth of the tank's pickup stand at least one bore clear of wall, floor and foam?",
    limits=(
        Limit.at_least(
            1.0,
            why="a mouth against the wall passes next to nothing, and less the harder the pump pulls",
            harm="no_start",
            milestone="drive",
            fix="trim the tube at 45 degrees, or bend it clear",
            source="practice",
        ),
    ),
    cases=(
        Case({"clearance": 15 * mm, "bore": 10 * mm}, 1.5, True, "hand sum"),
        Case({"clearance": 10 * mm, "bore": 10 * mm}, 1.0, True, "on the limit"),
        Case({"clearance": 2 * mm, "bore": 10 * mm}, 0.2, False, "hand sum"),
    ),
    caution=CAUTION + " Fuel vapour: cold tank, no lamp.",
)
def tank_pickup_clearance(clearance=fuel_tank.pickup_clearance, bore=fuel_tank.pickup_bore):
    """room = distance from the mouth to the nearest wall / bore of the pickup"""
    return clearance / bore
