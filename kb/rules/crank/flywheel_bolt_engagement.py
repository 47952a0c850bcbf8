"""Bolts of the flywheel are too short for a spacer and too long for a bare flexplate: count what is screwed in, not what is
written on the bag."""

from kb.roles import crank_spacer, drive_plate, flywheel_bolts
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "flywheel-bolt-engagement",
    "crank",
    "number",
    "smooth",
    asks="Is enough of each flywheel bolt screwed into the crank?",
    limits=(
        Limit.at_least(
            1.0,
            why="less than one diameter strips the flange",
            harm="destroys",
            milestone="drive",
            fix="longer bolts of the same grade and head",
            source="practice",
        ),
        Limit.at_most(
            1.5,
            why="more than one and a half diameters gains nothing and reaches what lies behind",
            harm="nuisance",
            milestone="crank",
            fix="shorter bolts of the same grade and head",
            source="practice",
            usual=True,
        ),
    ),
    cases=(
        Case({"length": 19 * mm, "plate": 3 * mm, "under": 2 * mm, "spacer": 0.0, "diameter": 10 * mm}, 1.4, True, "hand sum"),
        Case({"length": 25 * mm, "plate": 3 * mm, "under": 2 * mm, "spacer": 10 * mm, "diameter": 10 * mm}, 1.0, True, "on the limit"),
        Case({"length": 19 * mm, "plate": 3 * mm, "under": 2 * mm, "spacer": 10 * mm, "diameter": 10 * mm}, 0.4, False, "hand sum"),
    ),
)  # fmt: skip
def flywheel_bolt_engagement(
    length=flywheel_bolts.length,
    plate=drive_plate.thickness,
    under=flywheel_bolts.under_head,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    diameter=flywheel_bolts.diameter,
):
    """engaged diameters = (length - plate - clamp ring - spacer) / diameter"""
    return (length - plate - under - spacer) / diameter
