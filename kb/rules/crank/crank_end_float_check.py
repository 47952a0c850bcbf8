"""A float that changes when the gearbox is bolted up shows that converter or clutch is pushing the crank: the thrust bearing is
worn through in hours."""

from kb.roles import crank_float
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "crank-end-float-check",
    "crank",
    "length",
    "linear",
    asks="Is the crank's end float the same with the gearbox bolted up?",
    limits=(
        Limit.at_least(
            -0.05 * mm,
            why="the float has become smaller: something behind the crank pushes it",
            harm="destroys",
            milestone="crank",
            fix="undo, find the error in the stack, do not run",
            source="trade-page",
        ),
        Limit.at_most(
            0.05 * mm,
            why="the float has become larger: the dial stood on something else, or a bearing has moved",
            harm="destroys",
            milestone="crank",
            fix="read both again",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"after": 0.15 * mm, "before": 0.15 * mm}, 0.0, True, "unchanged"),
        Case(
            {"after": 0.10 * mm, "before": 0.15 * mm},
            -0.05 * mm,
            True,
            "on the limit: 0.05 mm allows for reading the dial twice",
        ),
        Case({"after": 0.02 * mm, "before": 0.15 * mm}, -0.13 * mm, False, "hand sum"),
    ),
    advice="It must not change at all; 0.05 mm allows for reading a dial twice.",
)
def crank_end_float_check(after=crank_float.with_gearbox, before=crank_float.without_gearbox):
    """change = float with the gearbox - float without it"""
    return after - before
