"""Filters of two threads look alike on the shelf: inch and metric nipples start in each other's filters and strip them."""

from kb.roles import block, oil_filter, oil_filter_adapter
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.oil._pad import thread_faults


@rule(
    "filter-pad-thread",
    "oil",
    "number",
    "count",
    asks="Are the threads of pad, adapter and filter one to the next the same?",
    limits=(
        Limit.at_most(
            0,
            why="the filter hangs on a few turns and blows off when the oil is cold",
            harm="destroys",
            milestone="prime",
            fix="the filter or adapter with the thread of what it screws on",
            source="definition",
        ),
    ),
    cases=(
        Case(
            {"pad": "M20x1.5", "adapter": "", "nipple": "", "spin_on": "M20 x 1.5"},
            0,
            True,
            "on the limit, from the definition",
        ),
        Case(
            {"pad": "M20x1.5", "adapter": "M20x1.5", "nipple": "3/4-16", "spin_on": "3/4-16"},
            0,
            True,
            "from the definition",
        ),
        Case({"pad": "3/4-16", "adapter": "", "nipple": "", "spin_on": "M20x1.5"}, 1, False, "from the definition"),
        Case(
            {"pad": "3/4-16", "adapter": "M20x1.5", "nipple": "3/4-16", "spin_on": "M20x1.5"}, 2, False, "both joints"
        ),
    ),
    detail=lambda pad, adapter, nipple, spin_on: {"notes": thread_faults(pad, adapter, nipple, spin_on)},
)
def filter_pad_thread(
    pad=block.filter_thread,
    adapter=optional(oil_filter_adapter.thread, absent=""),
    nipple=optional(oil_filter_adapter.filter_thread, absent=""),
    spin_on=oil_filter.thread,
):
    """mismatches = neighbours in the stack whose threads differ"""
    return len(thread_faults(pad, adapter, nipple, spin_on))
