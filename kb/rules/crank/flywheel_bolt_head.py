"""Heads that stand taller than the originals machine whatever lies opposite, and the dust goes into the thrust bearing."""

from kb.roles import drive_plate, flywheel_bolts
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "flywheel-bolt-head",
    "crank",
    "length",
    "linear",
    asks="Do the heads of the flywheel bolts clear what lies opposite?",
    limits=(
        Limit.at_least(
            0.0,
            name="touches",
            why="the heads cut block, cap, converter or clutch hub",
            harm="destroys",
            milestone="crank",
            fix="bolts with low heads",
            source="definition",
        ),
        Limit.at_least(
            1.5 * mm,
            why="end float, flexing and runout eat a smaller gap",
            harm="destroys",
            milestone="drive",
            fix="bolts with low heads",
            source="practice",
        ),
    ),
    cases=(
        Case({"room": 12 * mm, "head": 7 * mm, "under": 2 * mm}, 3 * mm, True, "hand sum"),
        Case({"room": 10.5 * mm, "head": 7 * mm, "under": 2 * mm}, 1.5 * mm, True, "on the limit"),
        Case(
            {"room": 9 * mm, "head": 10.2 * mm, "under": 0.0},
            -1.2 * mm,
            False,
            "trade page: heads cut 1/16 to 1/8 in deep",
        ),
    ),
)
def flywheel_bolt_head(room=drive_plate.head_room, head=flywheel_bolts.head_height, under=flywheel_bolts.under_head):
    """gap = room over the heads' seat - clamp ring - head"""
    return room - under - head
