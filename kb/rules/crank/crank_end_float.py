"""The crank's end float is read before the gearbox goes on: afterwards nobody can tell what was there before."""

from kb.roles import crank_float
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "crank-end-float",
    "crank",
    "length",
    "linear",
    asks="With the gearbox off, is the crank's end float in its band?",
    limits=(
        Limit.at_least(
            0.1016 * mm,
            why="less than .004 in leaves no room for oil at the thrust bearing",
            harm="destroys",
            milestone="crank",
            fix="another thrust bearing, or dress it",
            source="trade-page",
        ),
        Limit.at_most(
            0.3048 * mm,
            why="more than .012 in is a worn thrust bearing",
            harm="destroys",
            milestone="drive",
            fix="a new thrust bearing; look what wore it",
            source="trade-page",
        ),
        Limit.at_most(
            0.2032 * mm,
            name="usual_most",
            why="the usual float is .004 to .008 in",
            harm="wears",
            milestone="drive",
            fix="a new thrust bearing when the engine is open",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"reading": 0.15 * mm}, 0.15 * mm, True, "as given"),
        Case({"reading": 0.3048 * mm}, 0.3048 * mm, None, "on the limit, .012 in"),
        Case({"reading": 0.05 * mm}, 0.05 * mm, False, "as given"),
        Case({"reading": 0.8 * mm}, 0.8 * mm, False, "as given"),
    ),
)
def crank_end_float(reading=crank_float.without_gearbox):
    """float = dial reading between both stops, gearbox off"""
    return reading
