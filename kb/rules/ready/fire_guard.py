"""A loose fitting sprays on hot iron, and the first backfire lights it."""

from kb.roles import first_start
from kb.rules._rule import Case, Limit, rule
from kb.rules.ready._ticks import still_open

# In the order of the rule's parameters.
_ALL = {"fuel_joints_dry": True, "extinguisher": True, "helper_at_the_switch": True}


@rule(
    "fire-guard",
    "ready",
    "number",
    "count",
    asks="Is the fuel system tight, with extinguisher and helper in place?",
    limits=(
        Limit.at_most(
            0,
            why="a fitting left loose has burned a car, and a fire with nobody ready burns it down",
            harm="fire",
            milestone="fire",
            fix="tighten, clamp or reroute, wipe dry, two minutes under pressure again; extinguisher in reach; helper at the switch",
            source="trade-page",
        ),
    ),
    cases=(
        Case(_ALL, 0, True, "on the limit, all ticked"),
        Case({**_ALL, "fuel_joints_dry": False}, 1, False, "one not ticked"),
        Case({**_ALL, "extinguisher": False, "helper_at_the_switch": False}, 2, False, "two not ticked"),
    ),
    detail=still_open(*(name.replace("_", " ") for name in _ALL)),
    caution="No open flame, no lamp on a lead; doors open, nobody under the car; local rules on fuel apply.",
)
def fire_guard(
    fuel_joints_dry=first_start.fuel_joints_dry,
    extinguisher=first_start.extinguisher,
    helper_at_the_switch=first_start.helper_at_switch,
):
    """open items = those of the three that are not so"""
    return 3 - (fuel_joints_dry * 1 + extinguisher + helper_at_the_switch)
