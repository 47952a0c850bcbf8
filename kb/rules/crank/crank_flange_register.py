"""The crank's step centres the plate, the bolts do not: a plate that is loose on the step runs off centre, one that is tight does
not seat."""

from kb.roles import crank, drive_plate
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "crank-flange-register",
    "crank",
    "length",
    "linear",
    asks="Does the plate go on the crank's centring step, and without play?",
    limits=(
        Limit.at_least(
            0.0,
            why="the plate does not seat on the flange",
            harm="no_start",
            milestone="crank",
            fix="the plate for this crank; draw a tight one on in steps, never with the bolts of one side",
            source="definition",
        ),
        Limit.at_most(
            0.4 * mm,
            name="off_centre",
            why="half of this play is more than the 0.2 mm (.008 in) off centre that flexplates stand",
            harm="destroys",
            milestone="drive",
            fix="the plate for this crank, or a centring ring",
            source="trade-page",
        ),
        Limit.at_least(
            0.02 * mm,
            why="less play than this may need drawing on",
            harm="nuisance",
            milestone="crank",
            fix="clean step and hole, draw it on evenly in steps",
            source="memory",
        ),
        Limit.at_most(
            0.10 * mm,
            why="more play than this lets the plate and its weight sit off centre",
            harm="wears",
            milestone="drive",
            fix="the plate for this crank",
            source="memory",
        ),
    ),
    cases=(
        Case({"bore": 60.06 * mm, "step": 60.0 * mm}, 0.06 * mm, True, "hand sum"),
        Case({"bore": 60.4 * mm, "step": 60.0 * mm}, 0.4 * mm, None, "on the limit"),
        Case({"bore": 59.5 * mm, "step": 60.0 * mm}, -0.5 * mm, False, "hand sum"),
        Case({"bore": 63.5 * mm, "step": 60.0 * mm}, 3.5 * mm, False, "hand sum"),
    ),
)
def crank_flange_register(bore=drive_plate.register_bore, step=crank.register_diameter):
    """play = hole in the plate - step of the crank"""
    return bore - step
