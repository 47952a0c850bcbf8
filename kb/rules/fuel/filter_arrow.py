"""The element is held against one end only: flow the other way slides it along and shuts the outlet."""

from kb.roles import fuel_filter
from kb.rules._rule import Case, Limit, rule
from kb.rules.fuel._flow import CAUTION


@rule(
    "filter-arrow",
    "fuel",
    "number",
    "count",
    asks="Does the fuel go through the filter the way its arrow points?",
    limits=(
        Limit.at_most(
            0,
            why="an element that slid along has plugged the outlet in the middle of a race",
            harm="no_start",
            milestone="fire",
            fix="turn it round",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"arrow": "with_flow"}, 0, True, "on the limit, from the definition"),
        Case({"arrow": "either_way"}, 0, True, "from the definition"),
        Case({"arrow": "against_flow"}, 1, False, "from the definition"),
    ),
    caution=CAUTION,
)
def filter_arrow(arrow=fuel_filter.arrow):
    """wrong way = 1 if the flow goes against the arrow, else 0"""
    return (arrow == "against_flow") + 0
