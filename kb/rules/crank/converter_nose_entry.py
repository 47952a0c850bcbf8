"""A nose that only just reaches the crank centres nothing: count its entry with the converter bolted to the flexplate."""

from kb.roles import converter, crank, crank_spacer, drive_plate
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "converter-nose-entry",
    "crank",
    "length",
    "linear",
    asks="With the converter bolted up, how far does its nose stand in the crank's centring bore?",
    limits=(
        Limit.at_least(
            3.2 * mm,
            why="less than 1/8 in of nose in the bore does not hold the converter on centre",
            harm="destroys",
            milestone="drive",
            fix="a longer nose, a spacer with a bore of its own, or a flexplate with less dish",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"nose": 22 * mm, "spacer": 0.0, "offset": 14 * mm, "mouth": 1 * mm}, 7 * mm, True, "hand sum"),
        Case(
            {"nose": 22 * mm, "spacer": 3.8 * mm, "offset": 14 * mm, "mouth": 1 * mm},
            3.2 * mm,
            True,
            "on the limit, 1/8 in",
        ),
        Case({"nose": 22 * mm, "spacer": 9.5 * mm, "offset": 14 * mm, "mouth": 1 * mm}, -2.5 * mm, False, "hand sum"),
    ),
    detail=lambda nose, spacer, offset, mouth: {
        "notes": ["entry with the pads against the flexplate; plates between block and bell change the gap, not this"]
    },
)
def converter_nose_entry(
    nose=converter.nose_length,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    offset=drive_plate.pad_offset,
    mouth=crank.pilot_mouth,
):
    """entry = nose before the pads - spacer - pad offset - mouth of the bore"""
    return nose - spacer - offset - mouth
