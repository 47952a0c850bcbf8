"""Pulled forward to the flexplate, the converter's hub leaves the pump gear by as much: three quarters of the gear must still be
driven."""

from kb.roles import converter, crank, crank_spacer, drive_plate, plate_stack, transmission
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, stack_notes, total


@rule(
    "converter-hub-engagement",
    "crank",
    "number",
    "smooth",
    asks="With the converter bolted up, does its hub still drive enough of the pump gear?",
    limits=(
        Limit.at_least(
            0.75,
            why="less than three quarters of the gear is driven, and its lugs break out",
            harm="destroys",
            milestone="crank",
            fix="a spacer on the crank or equal washers on every pad, so that the converter comes forward less",
            source="trade-page",
        ),
    ),
    cases=(
        Case({"seated": 20 * mm, "setback": 28.6 * mm, "plates": [Piece(1.5 * mm)], "flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm, "width": 19 * mm},
             15.9 / 19, True, "hand sum"),
        Case({"seated": 18 * mm, "setback": 29 * mm, "plates": [], "flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm, "width": 20 * mm},
             0.75, True, "on the limit: 3/4 of the gear"),
        Case({"seated": 18 * mm, "setback": 28.6 * mm, "plates": [Piece(9.5 * mm)], "flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm, "width": 19 * mm},
             5.9 / 19, False, "hand sum"),
    ),
    detail=lambda seated, setback, plates, flange, spacer, offset, width: {
        "notes": ["engagement after the pull forward, over the width of the gear", *stack_notes(plates)]
    },
)  # fmt: skip
def converter_hub_engagement(
    seated=converter.hub_engagement,
    setback=converter.setback,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    offset=drive_plate.pad_offset,
    width=transmission.pump_gear_width,
):
    """share = (engagement pushed home - gap before pull forward) / width of the pump gear"""
    gap = setback + total(plates) - (flange + spacer + offset)
    return (seated - gap) / width
