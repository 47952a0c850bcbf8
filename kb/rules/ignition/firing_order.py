"""Cylinders are numbered by the maker and fired in the order of the crank: two engines that look alike may differ in both,
and the leads must follow this block, not the last one."""

from typing import Any

from kb.roles import block, coil_wiring, controller
from kb.rules._rule import Case, Limit, rule
from kb.rules.ignition._order import leads, order, pattern_of, wrong


def _told(firing: Any, wiring: Any, mode: str) -> dict[str, Any]:
    faults = wrong(firing, wiring, mode)
    whole = pattern_of(firing, wiring, mode)
    return {"notes": [whole, *faults] if whole else faults}


@rule(
    "firing-order",
    "ignition",
    "number",
    "count",
    asks="Does every cylinder get its spark from the output that fires when it is due?",
    limits=(
        Limit.at_most(
            0,
            why="a cylinder that is fired out of turn backfires, and a crossed pair stops the engine",
            harm="no_start",
            milestone="fire",
            fix="move the leads named to their outputs, cylinder by cylinder along the block's firing order",
            source="definition",
        ),
    ),
    cases=(
        Case({"firing": order(1, 2, 3, 4, 5, 6), "wiring": leads(1, 2, 3, 4, 5, 6, pairs=3), "mode": "wasted"}, 0, True,
             "on the limit: pairs 1-4, 2-5, 3-6 of the order 1-2-3-4-5-6"),
        Case({"firing": order(1, 3, 4, 2), "wiring": leads(1, 3, 4, 2), "mode": "sequential"}, 0, True, "from the definition"),
        Case({"firing": order(1, 3, 4, 2), "wiring": leads(1, 2, 3, 4), "mode": "sequential"}, 3, False,
             "wired by number: 2, 3 and 4 are out of turn"),
        Case({"firing": order(1, 2, 3, 4, 5, 6), "wiring": leads(1, 2, 3, 4, 6, 5, pairs=3), "mode": "wasted"}, 2, False, "5 and 6 crossed"),
        Case({"firing": order(1, 2, 3), "wiring": leads(1, 2), "mode": "sequential"}, 1, False, "3 has no lead"),
    ),
    detail=_told,
    caution="Ground or unplug the coils while leads are moved: they can hold a charge.",
)  # fmt: skip
def firing_order(
    firing=block.firing.of("cylinder"), wiring=coil_wiring.leads.of("output", "cylinder"), mode=controller.spark_mode
):
    """out of turn = cylinders whose leads are on another output than is due, and leads to cylinders that are not there"""
    return len(wrong(firing, wiring, mode))
