"""A used cooler sheds dirt, so what comes out of it has to pass the filter before it meets a bearing: the filter must be
the last thing on the way."""

from kb.roles import oil_filter_adapter
from kb.rules._rule import Case, Limit, rule


@rule(
    "filter-order",
    "oil",
    "number",
    "count",
    asks="Does the oil pass the filter last, on its way to the bearings?",
    limits=(
        Limit.at_most(
            0,
            why="a cooler behind the filter sheds its dirt straight into the bearings",
            harm="destroys",
            milestone="prime",
            fix="swap the hoses at the adapter so that the cooler comes first",
            source="practice",
        ),
    ),
    cases=(
        Case({"order": "cooler_first"}, 0, True, "on the limit, from the definition"),
        Case({"order": "filter_only"}, 0, True, "from the definition"),
        Case({"order": "filter_first"}, 1, False, "from the definition"),
    ),
    caution="A burst cooler hose sprays hot oil.",
)
def filter_order(order=oil_filter_adapter.order):
    """wrong order = 1 if the cooler lies behind the filter, else 0"""
    return (order == "filter_first") + 0
