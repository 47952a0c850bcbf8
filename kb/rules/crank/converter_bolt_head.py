"""The converter's bolts look forward: tall heads machine the block and the rear cap."""

from kb.roles import block, converter_bolts, crank, crank_spacer, drive_plate
from kb.rules._rule import Case, Limit, mm, optional, rule


@rule(
    "converter-bolt-head",
    "crank",
    "length",
    "linear",
    asks="Do the heads of the converter's bolts clear the block and its rear cap?",
    limits=(
        Limit.at_least(
            0.0,
            name="touches",
            why="the heads cut the block and the rear cap",
            harm="destroys",
            milestone="crank",
            fix="bolts with low heads",
            source="trade-page",
        ),
        Limit.at_least(
            1.5 * mm,
            why="end float and flexing eat a smaller gap",
            harm="destroys",
            milestone="drive",
            fix="bolts with low heads, or a spacer on the crank",
            source="practice",
        ),
    ),
    cases=(
        Case({"flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm, "plate": 2.5 * mm, "proud": 10 * mm, "under": 0.0, "head": 8 * mm},
             5.5 * mm, True, "hand sum"),
        Case({"flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm, "plate": 2.5 * mm, "proud": 14 * mm, "under": 0.0, "head": 8 * mm},
             1.5 * mm, True, "on the limit"),
        Case({"flange": 8 * mm, "spacer": 0.0, "offset": 12 * mm, "plate": 2.5 * mm, "proud": 10 * mm, "under": 1.5 * mm, "head": 9 * mm},
             -3 * mm, False, "hand sum"),
    ),
)  # fmt: skip
def converter_bolt_head(
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    offset=drive_plate.pad_offset,
    plate=drive_plate.pad_thickness,
    proud=block.rear_proud,
    under=converter_bolts.under_head,
    head=converter_bolts.head_height,
):
    """gap = crank flange + spacer + pad offset - plate - what stands out of the block - washer - head"""
    return flange + spacer + offset - plate - proud - under - head
