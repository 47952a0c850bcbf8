"""Bolts do not locate a bellhousing, dowels do: left out, they cost a flexplate its centre."""

from kb.maths import least
from kb.roles import bellhousing, block
from kb.rules._rule import Case, Limit, rule


@rule(
    "bell-dowels",
    "crank",
    "number",
    "count",
    asks="Do two dowels of the block locate the bellhousing?",
    limits=(
        Limit.at_least(
            2,
            why="the bell sits where its bolts leave it, and the flexplate or the input bearing breaks",
            harm="destroys",
            milestone="drive",
            fix="two dowels of the right length before the box goes up",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"dowels": 2, "holes": 2}, 2, True, "on the limit"),
        Case({"dowels": 2, "holes": 1}, 1, False, "from the definition"),
        Case({"dowels": 0, "holes": 2}, 0, False, "trade page: flexplate centre broken, dowels left out"),
    ),
)
def bell_dowels(dowels=block.bell_dowels, holes=bellhousing.dowel_holes):
    """locating dowels = least of dowels in the block and holes for them in the bell"""
    return least(dowels, holes)
