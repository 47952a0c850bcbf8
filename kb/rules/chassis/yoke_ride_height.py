"""The yoke wants to sit an inch or a little more from bottomed at ride height: then there is room both ways."""

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "yoke-ride-height",
    "chassis",
    "length",
    "linear",
    asks="Does the slip yoke sit where it should at ride height?",
    limits=(
        Limit.at_least(
            1 * mm,
            why="the yoke rests on the end of its room: the first bump drives it into the gearbox",
            harm="destroys",
            milestone="drive",
            fix="shorten the shaft",
            source="practice",
            name="bottomed",
        ),
        Limit.at_least(
            25 * mm,
            why="so near to bottomed it may strike at a hard bump",
            harm="destroys",
            milestone="drive",
            fix="shorten the shaft, if the room at full bump says so too",
            source="trade-page",
            usual=True,
        ),
        Limit.at_most(
            32 * mm,
            why="1 to 1 1/4 in is what builders aim at; farther out less spline is left at droop",
            harm="wears",
            milestone="drive",
            fix="lengthen the shaft, if the spline left at full droop says so too",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"travel": 30 * mm}, 30 * mm, True, "as given"),
        Case({"travel": 25 * mm}, 25 * mm, True, "on the usual limit"),
        Case({"travel": 51 * mm}, 51 * mm, None, "two inches showing: seen on a trade page, outside the usual"),
        Case({"travel": 0.0}, 0.0, False, "bottomed as it stands"),
    ),
    advice="Another gearbox moved the mark by half an inch on one car (trade page): measure again after every swap.",
    caution="Work under a car only on stands, wheels chocked.",
)
def yoke_ride_height(travel=propshaft.yoke_travel):
    """shows = yoke from bottomed to ride height"""
    return travel
