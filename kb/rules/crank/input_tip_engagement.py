"""Each plate between block and bell draws the input shaft's tip out of the pilot bearing."""

from kb.roles import bellhousing, crank, pilot, plate_stack, transmission
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, stack_notes, total


@rule(
    "input-tip-engagement",
    "crank",
    "number",
    "smooth",
    asks="Does the input shaft's tip stand deep enough in the pilot bearing?",
    limits=(
        Limit.at_least(
            0.0,
            name="reaches",
            why="the tip does not reach the bearing, and the shaft whips",
            harm="destroys",
            milestone="crank",
            fix="a bearing farther back (an extended one), or the plate left out",
            source="definition",
        ),
        Limit.at_least(
            0.67,
            why="less than two thirds of the bearing carries the tip",
            harm="wears",
            milestone="drive",
            fix="a bearing farther back, or the plate left out",
            source="memory",
        ),
    ),
    when={transmission.sort: ("manual",)},
    cases=(
        Case({"flange": 12 * mm, "recess": 3 * mm, "plates": [Piece(1.5 * mm)], "bell": 150 * mm, "reach": 152.5 * mm, "length": 12 * mm},
             10 / 12, True, "hand sum"),
        Case({"flange": 12 * mm, "recess": 3 * mm, "plates": [Piece(9.5 * mm), Piece(1.5 * mm, "mid plate")], "bell": 150 * mm, "reach": 152.5 * mm, "length": 12 * mm},
             0.5 / 12, None, "hand sum: a mid plate that nobody made up for"),
        Case({"flange": 12 * mm, "recess": 3 * mm, "plates": [], "bell": 150 * mm, "reach": 141 * mm, "length": 12 * mm}, 0.0, None, "on the limit"),
        Case({"flange": 12 * mm, "recess": 3 * mm, "plates": [Piece(19 * mm)], "bell": 150 * mm, "reach": 152.5 * mm, "length": 12 * mm},
             -7.5 / 12, False, "hand sum"),
    ),
    detail=lambda flange, recess, plates, bell, reach, length: {"notes": stack_notes(plates)},
)  # fmt: skip
def input_tip_engagement(
    flange=crank.flange_position,
    recess=pilot.recess,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    bell=bellhousing.depth,
    reach=transmission.tip_reach,
    length=pilot.length,
):
    """share = (crank flange - recess of the bearing - (plates + bell - reach of the tip)) / length of the bearing"""
    return (flange - recess - (total(plates) + bell - reach)) / length
