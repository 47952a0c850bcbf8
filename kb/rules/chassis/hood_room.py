"""An air cleaner that stands proud of the old one meets the hood at the first bump."""

from kb.roles import engine_bay
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "hood-room",
    "chassis",
    "length",
    "linear",
    asks="Does the hood shut with room over the air cleaner?",
    limits=(
        Limit.at_least(
            0.0,
            why="the hood does not shut",
            harm="nuisance",
            milestone="drive",
            fix="a lower air cleaner or manifold, or lower mounts",
            source="definition",
            name="touch",
        ),
        Limit.at_least(
            15 * mm,
            why="the engine rocks and the hood flexes: less room than this is touched",
            harm="wears",
            milestone="drive",
            fix="a lower air cleaner, or a stiffer mount",
            source="builders-guide",
        ),
    ),
    cases=(
        Case({"gap": 25 * mm}, 25 * mm, True, "as given"),
        Case({"gap": 15 * mm}, 15 * mm, True, "on the limit"),
        Case({"gap": -5 * mm}, -5 * mm, False, "as given"),
    ),
    advice="Measure with the gasket and the stud's nut in place; a spacer under the carburettor takes its height off.",
)
def hood_room(gap=engine_bay.hood_room):
    """gap = air cleaner to the hood, as measured in the car"""
    return gap
