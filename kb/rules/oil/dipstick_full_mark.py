"""Oil that stands up to the crank is whipped to foam: at the full mark it must lie well below what the crank sweeps."""

from kb.roles import block, crank, dipstick
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.clearance._sweep import sweep_depth


@rule(
    "dipstick-full-mark",
    "oil",
    "length",
    "rough",
    asks="Does the oil at the full mark stay clear of the crank?",
    limits=(
        Limit.at_least(
            0.0,
            why="a dipped crank whips air into the oil and the pressure falls when revved",
            harm="destroys",
            milestone="fire",
            fix="the stick that belongs to this pan, or re-mark it by counted litres",
            source="definition",
        ),
        Limit.at_least(
            20 * mm,
            why="oil piles up at the rear under way: less room than this lets the crank reach it",
            harm="wears",
            milestone="drive",
            fix="re-mark the stick, or a stop collar on its tube",
            source="memory",
        ),
    ),
    cases=(
        Case({"mark": 110 * mm, "drop": -60 * mm, "weight": 85 * mm, "big_end": 90 * mm}, 80 * mm, True, "hand sum"),
        Case({"mark": 50 * mm, "drop": -60 * mm, "weight": 90 * mm, "big_end": 85 * mm}, 20 * mm, True, "on the limit"),
        Case({"mark": 20 * mm, "drop": -60 * mm, "weight": 90 * mm, "big_end": 85 * mm}, -10 * mm, False, "hand sum"),
    ),
)
def dipstick_full_mark(
    mark=dipstick.full_mark_depth,
    drop=block.crank_drop,
    weight=crank.counterweight_swing,
    big_end=crank.big_end_swing,
):
    """room = depth of the full mark - lowest point that the crank sweeps, both from the rail"""
    return mark - sweep_depth(drop, weight, big_end)
