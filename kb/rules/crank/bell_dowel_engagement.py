"""Each plate between block and bell eats the dowels: what stands out behind the plates must still locate the bell."""

from kb.roles import block, plate_stack
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.crank._parts import Piece, stack_notes, total


@rule(
    "bell-dowel-engagement",
    "crank",
    "length",
    "linear",
    asks="Do the dowels still reach into the bell behind all plates?",
    limits=(
        Limit.at_least(
            6.0 * mm,
            why="shorter dowels let the bell shift, whatever the bolts hold",
            harm="destroys",
            milestone="drive",
            fix="longer dowels",
            source="practice",
        ),
    ),
    cases=(
        Case({"dowel": 14 * mm, "plates": [Piece(1.5 * mm)]}, 12.5 * mm, True, "hand sum"),
        Case(
            {"dowel": 14 * mm, "plates": [Piece(1.5 * mm), Piece(6.5 * mm, "mid plate")]}, 6 * mm, True, "on the limit"
        ),
        Case({"dowel": 14 * mm, "plates": [Piece(1.5 * mm), Piece(9.5 * mm, "mid plate")]}, 3 * mm, False, "hand sum"),
        Case({"dowel": 14 * mm, "plates": []}, 14 * mm, True, "a bell without plates"),
    ),
    detail=lambda dowel, plates: {"notes": stack_notes(plates)},
)
def bell_dowel_engagement(dowel=block.dowel_length, plates=plate_stack.plates.of("thickness")):
    """engaged = length of the dowels - all plates"""
    return dowel - total(plates)
