"""A tip that meets the bottom of the crank's bore pushes the crank into its thrust bearing as the box is bolted up."""

from kb.roles import bellhousing, crank, plate_stack, transmission
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, stack_notes, total


@rule(
    "input-tip-bottom",
    "crank",
    "length",
    "linear",
    asks="Does the input shaft's tip stay clear of the bottom of the crank's bore?",
    limits=(
        Limit.at_least(
            0.0,
            why="the shaft pushes the crank when the box is drawn up",
            harm="destroys",
            milestone="crank",
            fix="a plate between block and bell, or the shaft for this bell",
            source="definition",
        ),
        Limit.at_least(
            1.0 * mm,
            why="end float eats a smaller room",
            harm="wears",
            milestone="drive",
            fix="a plate between block and bell, or the shaft for this bell",
            source="memory",
        ),
    ),
    when={transmission.sort: ("manual",)},
    cases=(
        Case({"depth": 25 * mm, "flange": 12 * mm, "plates": [Piece(1.5 * mm)], "bell": 150 * mm, "reach": 152.5 * mm}, 12 * mm, True, "hand sum"),
        Case({"depth": 25 * mm, "flange": 12 * mm, "plates": [], "bell": 150 * mm, "reach": 162 * mm}, 1 * mm, True, "on the limit"),
        Case({"depth": 25 * mm, "flange": 12 * mm, "plates": [], "bell": 150 * mm, "reach": 170 * mm}, -7 * mm, False, "hand sum"),
    ),
    detail=lambda depth, flange, plates, bell, reach: {"notes": stack_notes(plates)},
)  # fmt: skip
def input_tip_bottom(
    depth=crank.pilot_depth,
    flange=crank.flange_position,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    bell=bellhousing.depth,
    reach=transmission.tip_reach,
):
    """room = depth of the bore - (crank flange - (plates + bell - reach of the tip))"""
    return depth - (flange - (total(plates) + bell - reach))
