"""A nose that meets the bottom of the bore, or a bearing that somebody left there, holds the converter off its plate and pushes the
crank."""

from kb.roles import converter, crank, crank_spacer, drive_plate
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "converter-nose-bottom",
    "crank",
    "length",
    "linear",
    asks="Does the converter's nose stay clear of the bottom of the crank's bore?",
    limits=(
        Limit.at_least(
            0.0,
            why="the nose bottoms: the pads cannot meet the flexplate, or the bolts push the crank",
            harm="destroys",
            milestone="crank",
            fix="take out what was left in the bore; a spacer on the crank; the right nose",
            source="definition",
        ),
        Limit.at_least(
            1.0 * mm,
            why="swelling and end float eat a smaller room",
            harm="destroys",
            milestone="drive",
            fix="a spacer on the crank, or the right nose",
            source="memory",
        ),
    ),
    cases=(
        Case({"depth": 25 * mm, "nose": 22 * mm, "spacer": 0.0, "offset": 14 * mm}, 17 * mm, True, "hand sum"),
        Case({"depth": 9 * mm, "nose": 22 * mm, "spacer": 0.0, "offset": 14 * mm}, 1 * mm, True, "on the limit"),
        Case({"depth": 6 * mm, "nose": 29.5 * mm, "spacer": 0.0, "offset": 14 * mm}, -9.5 * mm, False,
             "trade page: stuck 3/8 in short, a leftover part suspected"),
    ),
)  # fmt: skip
def converter_nose_bottom(
    depth=crank.pilot_depth,
    nose=converter.nose_length,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    offset=drive_plate.pad_offset,
):
    """room = depth of the bore - (nose before the pads - spacer - pad offset)"""
    return depth - (nose - spacer - offset)
