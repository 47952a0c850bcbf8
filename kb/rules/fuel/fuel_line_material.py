"""Hose of the wrong rubber goes soft from inside and drips on the exhaust; unmarked rubber is not known to be right."""

from kb.roles import fuel, fuel_line, second_fuel
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.fuel._flow import CAUTION
from kb.rules.fuel._materials import NO_FUEL, found, notes


@rule(
    "fuel-line-material",
    "fuel",
    "number",
    "count",
    asks="Does this run of line stand the fuels that go through it?",
    limits=(
        Limit.at_most(
            0,
            why="the hose swells, cracks or dissolves, and leaks fuel near the exhaust",
            harm="fire",
            milestone="fire",
            fix="hose marked for this fuel, PTFE, or steel tube",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"material": "nitrile", "ethanol": 0.1, "second": 0.85}, 0, True, "on the limit, from the table"),
        Case({"material": "ptfe", "ethanol": 0.05, "second": NO_FUEL}, 0, True, "from the table"),
        Case({"material": "natural_rubber", "ethanol": 0.05, "second": NO_FUEL}, 1, False, "from the table"),
        Case({"material": "polyurethane", "ethanol": 0.0, "second": 0.83}, 1, False, "bad in the second fuel only"),
    ),
    detail=lambda material, ethanol, second: notes([("line", material)], (ethanol, second)),
    caution=CAUTION,
)
def fuel_line_material(
    material=fuel_line.material, ethanol=fuel.ethanol, second=optional(second_fuel.ethanol, absent=NO_FUEL)
):
    """unfit = 1 for each fuel that the table calls bad for the line's material"""
    return len(found([("line", material)], (ethanol, second), "bad"))
