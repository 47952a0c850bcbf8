"""Two joints cancel only while the yokes on the shaft's ends stand in line: put together a tooth off, they add."""

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, rule


@rule(
    "yokes-in-line",
    "chassis",
    "number",
    "count",
    asks="Do the yokes on the two ends of the shaft stand in line?",
    limits=(
        Limit.at_most(
            0,
            why="the unevenness of the two joints adds up instead of cancelling",
            harm="wears",
            milestone="drive",
            fix="pull the slip spline apart and put it together in line; a welded shaft goes back to its maker",
            source="practice",
        ),
    ),
    cases=(
        Case({"in_line": True}, 0, True, "on the limit, from the definition"),
        Case({"in_line": False}, 1, False, "from the definition"),
    ),
    caution="Work under a car only on stands, wheels chocked.",
)
def yokes_in_line(in_line=propshaft.yokes_in_line):
    """out of line = 1 if the shaft's own two yokes are turned against each other, else 0"""
    return 1 - in_line * 1
