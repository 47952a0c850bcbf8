"""The slip yoke goes deeper into the gearbox as the axle rises: if it bottoms, it splits the tail housing."""

from kb.roles import propshaft
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "yoke-room",
    "chassis",
    "length",
    "linear",
    asks="Is there room left in the gearbox for the yoke at full bump?",
    limits=(
        Limit.at_least(
            0.0,
            why="the yoke bottoms at full bump and splits the tail housing",
            harm="destroys",
            milestone="drive",
            fix="shorten the shaft",
            source="definition",
        ),
        Limit.at_least(
            12 * mm,
            why="wear and frame twist use up less room than this",
            harm="destroys",
            milestone="drive",
            fix="shorten the shaft",
            source="memory",
        ),
    ),
    cases=(
        Case({"travel": 30 * mm, "bump": 12 * mm}, 18 * mm, True, "hand sum"),
        Case({"travel": 30 * mm, "bump": 18 * mm}, 12 * mm, True, "on the limit"),
        Case({"travel": 10 * mm, "bump": 18 * mm}, -8 * mm, False, "hand sum"),
    ),
    advice="At ride height the yoke sits 25 to 32 mm (1 to 1 1/4 in) from bottomed: trade page.",
    caution="Work under a car only on stands, wheels chocked.",
)
def yoke_room(travel=propshaft.yoke_travel, bump=propshaft.bump_travel):
    """room = yoke from bottomed to ride height - what it goes in at bump"""
    return travel - bump
