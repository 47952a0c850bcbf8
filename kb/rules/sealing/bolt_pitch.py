"""Between two bolts the flange lifts off the gasket: the wider the pitch and the thinner the flange, the more."""

from kb.roles import block
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.sealing._pitch import At, longest_pitch


@rule(
    "bolt-pitch",
    "sealing",
    "length",
    "count",
    asks="Are the pan bolts close enough together?",
    limits=(
        Limit.at_most(
            75 * mm,
            why="a thin flange bows up between bolts that stand farther apart",
            harm="leaks",
            milestone="fire",
            fix="load-spreader strips under the bolt heads, or a stiffer pan",
            source="memory",
        ),
    ),
    cases=(
        Case({"stations": [At(0, 0), At(0.06, 0), At(0.06, 0.05), At(0, 0.05)]}, 60 * mm, True, "hand sum"),
        Case({"stations": [At(0, 0), At(0.075, 0), At(0.075, 0.05), At(0, 0.05)]}, 75 * mm, True, "on the limit"),
        Case(
            {"stations": [At(0, 0), At(0.05, 0, False), At(0.1, 0), At(0.1, 0.05), At(0, 0.05)]},
            100 * mm,
            None,
            "hand sum: a station without a bolt does not count",
        ),
    ),
    detail=lambda stations: {"notes": [f"longest pitch: {longest_pitch(stations)[1]}"]},
)
def bolt_pitch(stations=block.stations.of("x", "y", "bolt")):
    """pitch = longest way along the flange from one bolt to the next"""
    return longest_pitch(stations)[0]
