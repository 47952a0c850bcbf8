"""A filter's bowl and seals meet the fuel first, and the dirt that ethanol frees."""

from kb.roles import fuel, fuel_filter, second_fuel
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.fuel._flow import CAUTION
from kb.rules.fuel._materials import NO_FUEL, found, notes


@rule(
    "fuel-filter-material",
    "fuel",
    "number",
    "count",
    asks="Does this filter stand the fuels that go through it?",
    limits=(
        Limit.at_most(
            0,
            why="the bowl crazes or the seals swell, and fuel drips",
            harm="fire",
            milestone="fire",
            fix="a metal filter with seals for this fuel",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"materials": frozenset({"aluminium_coated", "nitrile"}), "ethanol": 0.1, "second": 0.85}, 0, True,
             "on the limit, from the table"),
        Case({"materials": frozenset({"polyamide", "nitrile"}), "ethanol": 0.05, "second": 0.85}, 1, False,
             "a plain nylon bowl in E85"),
    ),
    detail=lambda materials, ethanol, second: notes([("filter", materials)], (ethanol, second)),
    caution=CAUTION,
)  # fmt: skip
def fuel_filter_material(
    materials=fuel_filter.materials, ethanol=fuel.ethanol, second=optional(second_fuel.ethanol, absent=NO_FUEL)
):
    """unfit = pairs of a material and a fuel that the table calls bad"""
    return len(found([("filter", materials)], (ethanol, second), "bad"))
