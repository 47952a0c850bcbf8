"""A pinion that stops short carries the whole engine on the ends of its teeth."""

from kb.roles import bellhousing, crank, crank_spacer, drive_plate, plate_stack, starter
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, stack_notes, total

_GOOD = {"travel": 18 * mm, "flange": 12 * mm, "spacer": 0.0, "ring": 5.5 * mm, "plates": [Piece(1.5 * mm)], "face": 30 * mm,
         "reach": -16.5 * mm, "throws": "rearward", "width": 12 * mm}  # fmt: skip


@rule(
    "starter-pinion-travel",
    "crank",
    "number",
    "smooth",
    asks="Thrown out, does the pinion cover enough of the ring gear's width?",
    limits=(
        Limit.at_least(
            0.0,
            name="reaches",
            why="the pinion does not reach the ring",
            harm="no_start",
            milestone="crank",
            fix="the starter nose for this bell and ring; is a plate too many, or a spacer?",
            source="definition",
        ),
        Limit.at_least(
            0.5,
            why="less than half of the ring's width carries the load",
            harm="wears",
            milestone="crank",
            fix="the starter nose for this bell and ring",
            source="memory",
        ),
    ),
    cases=(
        Case(_GOOD, 15.5 / 12, True, "hand sum"),
        Case({**_GOOD, "travel": 8.5 * mm}, 0.5, True, "on the limit"),
        Case(
            {**_GOOD, "spacer": 19 * mm},
            -3.5 / 12,
            False,
            "hand sum: a crank spacer that the starter was not chosen for",
        ),
    ),
    detail=lambda travel, flange, spacer, ring, plates, face, reach, throws, width: {"notes": stack_notes(plates)},
)
def starter_pinion_travel(
    travel=starter.travel,
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    ring=drive_plate.ring_face_offset,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    face=bellhousing.starter_face,
    reach=starter.rest_reach,
    throws=starter.throws,
    width=drive_plate.ring_width,
):
    """share of the width = (travel - gap at rest) / width of the ring"""
    way = (throws == "rearward") * 2 - 1
    rest = way * (flange + spacer + ring - (total(plates) + face + reach))
    return (travel - rest) / width
