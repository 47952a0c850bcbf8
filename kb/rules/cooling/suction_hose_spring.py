"""The hose between radiator and pump is sucked flat at speed unless something holds it open."""

from kb.roles import coolant_hose
from kb.rules._rule import Case, Limit, rule
from kb.rules.cooling._caution import COLD


@rule(
    "suction-hose-spring",
    "cooling",
    "number",
    "count",
    asks="Has the hose that the pump sucks through a spring or a stiff wall?",
    limits=(
        Limit.at_most(
            0,
            why="the pump sucks the hose flat at speed, and the flow stops just when it is needed",
            harm="destroys",
            milestone="drive",
            fix="a hose with a spring in it, or one with a wall too stiff to squeeze shut hot",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"suction": True, "spring": True}, 0, True, "on the limit, from the definition"),
        Case({"suction": False, "spring": False}, 0, True, "from the definition"),
        Case({"suction": True, "spring": False}, 1, False, "from the definition"),
    ),
    caution=COLD,
)
def suction_hose_spring(suction=coolant_hose.suction, spring=coolant_hose.spring):
    """soft = 1 for a hose on the suction side without a spring, else 0"""
    return suction * (1 - spring * 1)
