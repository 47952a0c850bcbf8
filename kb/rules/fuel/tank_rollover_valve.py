"""A vent that stays open with the car on its roof feeds whatever burns."""

from kb.roles import fuel_tank
from kb.rules._rule import Case, Limit, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "tank-rollover-valve",
    "fuel",
    "number",
    "count",
    asks="Does the tank's vent close when the car lies on its roof?",
    limits=(
        Limit.at_least(
            1,
            why="fuel runs out of an open vent onto a hot exhaust",
            harm="fire",
            milestone="drive",
            fix="a rollover valve at the tank",
            source="practice",
        ),
    ),
    cases=(
        Case({"valve": True}, 1, True, "on the limit, from the definition"),
        Case({"valve": False}, 0, False, "from the definition"),
    ),
    caution=CAUTION,
)
def tank_rollover_valve(valve=fuel_tank.rollover_valve):
    """valves = 1 if the vent closes when turned over, else 0"""
    return valve * 1
