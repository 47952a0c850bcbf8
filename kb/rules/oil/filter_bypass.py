"""A filter that plugs must open a way around itself, once: no bypass starves the engine, two let oil go round the filter
for good."""

from kb.roles import block, oil_filter, oil_filter_adapter
from kb.rules._rule import Case, Limit, optional, rule


@rule(
    "filter-bypass",
    "oil",
    "number",
    "count",
    asks="Is there exactly one bypass valve between block, adapter and filter?",
    limits=(
        Limit.at_least(
            1,
            why="with no bypass a plugged filter or cold oil starves the engine",
            harm="destroys",
            milestone="fire",
            fix="a filter with a bypass valve, or an adapter that carries one",
            source="practice",
        ),
        Limit.at_most(
            1,
            why="two bypasses open one after the other and the oil goes round the filter",
            harm="wears",
            milestone="drive",
            fix="a filter without a bypass, or block off the one in the adapter",
            source="practice",
        ),
    ),
    cases=(
        Case({"in_block": True, "in_adapter": False, "in_filter": False}, 1, True, "on both limits"),
        Case({"in_block": True, "in_adapter": False, "in_filter": True}, 2, False, "from the definition"),
        Case({"in_block": False, "in_adapter": False, "in_filter": False}, 0, False, "from the definition"),
    ),
)
def filter_bypass(
    in_block=block.filter_bypass,
    in_adapter=optional(oil_filter_adapter.bypass, absent=False),
    in_filter=oil_filter.bypass,
):
    """bypasses = those in block, adapter and filter"""
    return in_block * 1 + in_adapter * 1 + in_filter * 1
