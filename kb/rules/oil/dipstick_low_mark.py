"""At the low mark the foot must still be covered, with oil to spare for a slope or a turn."""

from kb.roles import dipstick, pickup
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "dipstick-low-mark",
    "oil",
    "length",
    "linear",
    asks="Is the pickup's foot still covered when the oil stands at the low mark?",
    limits=(
        Limit.at_least(
            0.0,
            why="with the foot uncovered the pump draws air at a level that the stick calls good",
            harm="destroys",
            milestone="prime",
            fix="the stick that belongs to this pan, or re-mark it by counted litres",
            source="definition",
        ),
        Limit.at_least(
            25 * mm,
            why="less cover than this is gone on a slope or in a turn",
            harm="destroys",
            milestone="drive",
            fix="re-mark the stick higher, or carry more oil",
            source="memory",
        ),
    ),
    cases=(
        Case({"hang": 182 * mm, "mark": 140 * mm}, 42 * mm, True, "hand sum"),
        Case({"hang": 165 * mm, "mark": 140 * mm}, 25 * mm, True, "on the limit"),
        Case({"hang": 130 * mm, "mark": 140 * mm}, -10 * mm, False, "hand sum"),
    ),
)
def dipstick_low_mark(hang=pickup.hang, mark=dipstick.low_mark_depth):
    """cover = hang of the foot - depth of the low mark, both from the rail"""
    return hang - mark
