"""Too little room and the bolts push the converter into its pump and the crank into its thrust bearing; too much, and it is pulled
off its pump gear. The figure is the gap between pads and flexplate BEFORE the converter is pulled forward, with it pushed fully
home."""

from kb.roles import converter, crank, crank_spacer, drive_plate, plate_stack
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.crank._parts import Piece, shown, stack_notes, total

_AIM = 4.0 * mm  # middle of 1/8 to 3/16 in


def _words(setback, plates, flange, spacer, offset):
    gap = float(setback + total(plates) - (flange + spacer + offset))
    notes = [
        "gap before the converter is pulled forward; bolted up it is zero, and the hub has come out of the pump by as much"
    ]
    notes += stack_notes(plates)
    if gap > 4.8 * mm:
        notes.append(
            f"{shown(gap - _AIM)} more spacer on the crank, or equal washers on all pads, brings it to {shown(_AIM)}"
        )
    elif gap < 3.2 * mm:
        notes.append(
            f"{shown(_AIM - gap)} less spacer or dish at the flexplate, or more plate before the bell, brings it to {shown(_AIM)}"
        )
    return {"notes": notes, "gap": gap}


@rule(
    "converter-pull-forward-gap",
    "crank",
    "length",
    "linear",
    asks="How far must the converter come forward to meet the flexplate?",
    limits=(
        Limit.at_least(
            1.6 * mm,
            why="nearer than this, heat and pressure swell the converter into the pump and push the crank",
            harm="destroys",
            milestone="crank",
            fix="a thinner crank spacer, or a plate between block and bell",
            source="practice",
        ),
        Limit.at_most(
            6.4 * mm,
            why="farther than this the hub leaves the pump gear, and the pump breaks",
            harm="destroys",
            milestone="crank",
            fix="a spacer on the crank, or equal washers on every pad",
            source="practice",
        ),
        Limit.at_least(
            3.2 * mm,
            name="usual_least",
            why="the usual gap is 1/8 to 3/16 in, one source aims at exactly 1/8 in",
            harm="destroys",
            milestone="drive",
            fix="a thinner crank spacer, or a plate between block and bell",
            source="trade-page",
            usual=True,
        ),
        Limit.at_most(
            4.8 * mm,
            name="usual_most",
            why="the usual gap is 1/8 to 3/16 in",
            harm="destroys",
            milestone="drive",
            fix="equal washers on every pad",
            source="trade-page",
            usual=True,
        ),
    ),
    cases=(
        Case({"setback": 28.575 * mm, "plates": [], "flange": 10 * mm, "spacer": 0.0, "offset": 14.765 * mm}, 3.81 * mm, True,
             "values geo-11: pads 1.125 in behind the bell's face, flexplate 0.975 in proud: 0.15 in"),
        Case({"setback": 28.6 * mm, "plates": [Piece(1.5 * mm), Piece(0.5 * mm, "mid plate")], "flange": 12 * mm, "spacer": 0.0, "offset": 12.2 * mm}, 6.4 * mm, None,
             "on the limit"),
        Case({"setback": 28.6 * mm, "plates": [Piece(1.5 * mm)], "flange": 12 * mm, "spacer": 6 * mm, "offset": 14 * mm}, -1.9 * mm, False,
             "hand sum: the pump is crushed"),
        Case({"setback": 32.5 * mm, "plates": [Piece(9.5 * mm)], "flange": 12 * mm, "spacer": 0.0, "offset": 14 * mm}, 16 * mm, False,
             "hand sum: a mid plate that nobody made up for"),
    ),
    detail=_words,
    advice="Aim at 3.2 to 4.8 mm (1/8 to 3/16 in), measured before the pull forward.",
    caution="Never pull the bell up to the block with its bolts: the converter must turn free by hand all the way.",
)  # fmt: skip
def converter_pull_forward_gap(
    setback=converter.setback,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    offset=drive_plate.pad_offset,
):
    """gap before pull forward = (seated setback + plates) - (crank flange + spacer + pad offset)"""
    return setback + total(plates) - (flange + spacer + offset)
