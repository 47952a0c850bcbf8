"""At rest the pinion stands a little off the ring: nearer it rubs for ever, farther it enters late."""

from kb.roles import bellhousing, crank, crank_spacer, drive_plate, plate_stack, starter
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, stack_notes, total

_GOOD = {"flange": 12 * mm, "spacer": 0.0, "ring": 5.5 * mm, "plates": [Piece(1.5 * mm)], "face": 30 * mm, "reach": -16.5 * mm, "throws": "rearward"}  # fmt: skip


@rule(
    "starter-pinion-rest",
    "crank",
    "length",
    "linear",
    asks="Does the pinion stand clear of the ring gear at rest?",
    limits=(
        Limit.at_least(
            0.0,
            why="the pinion rubs on the ring all the time",
            harm="destroys",
            milestone="crank",
            fix="the plate that belongs between block and bell, or the starter nose for it",
            source="definition",
        ),
        Limit.at_least(
            1.6 * mm,
            why="nearer than this, end float lets them touch",
            harm="wears",
            milestone="crank",
            fix="a spacer under the starter's face, or the plate that belongs there",
            source="memory",
        ),
        Limit.at_most(
            3.2 * mm,
            why="farther than this the pinion enters late and by its edge",
            harm="wears",
            milestone="crank",
            fix="the plate that belongs there and no other",
            source="memory",
        ),
    ),
    cases=(
        Case(_GOOD, 2.5 * mm, True, "hand sum"),
        Case({**_GOOD, "reach": -15.6 * mm}, 1.6 * mm, True, "on the limit"),
        Case(
            {**_GOOD, "plates": [Piece(1.5 * mm), Piece(9.5 * mm, "mid plate")]},
            -7 * mm,
            False,
            "hand sum: a mid plate that nobody made up for",
        ),
        Case(
            {**_GOOD, "reach": -10 * mm, "throws": "forward", "face": 28.8 * mm},
            2.8 * mm,
            True,
            "hand sum: starter behind the ring",
        ),
    ),
    detail=lambda flange, spacer, ring, plates, face, reach, throws: {"notes": stack_notes(plates)},
    caution="Disconnect the battery before a hand goes near the pinion.",
)
def starter_pinion_rest(
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    ring=drive_plate.ring_face_offset,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    face=bellhousing.starter_face,
    reach=starter.rest_reach,
    throws=starter.throws,
):
    """gap = (crank flange + spacer + ring offset) - (plates + starter face + reach), turned round if it throws forward"""
    way = (throws == "rearward") * 2 - 1
    return way * (flange + spacer + ring - (total(plates) + face + reach))
