"""A bolt that meets the bottom clamps nothing, and one that comes out behind cuts the seal."""

from kb.roles import crank, crank_spacer, drive_plate, flywheel_bolts
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "flywheel-bolt-tip",
    "crank",
    "length",
    "linear",
    asks="Do the tips of the flywheel bolts stay clear of the bottom of their holes, or of what lies behind the flange?",
    limits=(
        Limit.at_least(
            0.0,
            why="the bolt bottoms and clamps nothing, or its tip cuts the rear seal",
            harm="destroys",
            milestone="crank",
            fix="shorter bolts of the same grade and head",
            source="definition",
        ),
        Limit.at_least(
            1.0 * mm,
            why="less room than this is used up by dirt and a thinner plate",
            harm="nuisance",
            milestone="crank",
            fix="shorter bolts, or a clamp ring under the heads",
            source="memory",
        ),
    ),
    cases=(
        Case({"depth": 22 * mm, "length": 19 * mm, "plate": 3 * mm, "under": 2 * mm, "spacer": 0.0}, 8 * mm, True, "hand sum"),
        Case({"depth": 15 * mm, "length": 19 * mm, "plate": 3 * mm, "under": 0.0, "spacer": 0.0}, -1 * mm, False, "hand sum"),
        Case({"depth": 15 * mm, "length": 19 * mm, "plate": 3 * mm, "under": 2 * mm, "spacer": 0.0}, 1 * mm, True, "on the limit"),
    ),
)  # fmt: skip
def flywheel_bolt_tip(
    depth=crank.flange_hole_depth,
    length=flywheel_bolts.length,
    plate=drive_plate.thickness,
    under=flywheel_bolts.under_head,
    spacer=optional(crank_spacer.thickness, absent=0.0),
):
    """room = depth of the hole - (length - plate - clamp ring - spacer)"""
    return depth - (length - plate - under - spacer)
