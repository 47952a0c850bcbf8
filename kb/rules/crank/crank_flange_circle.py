"""Two bolt circles a millimetre apart take the bolts at one side only: what the holes leave around the bolts must cover the
difference."""

from kb.roles import crank, drive_plate, flywheel_bolts
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "crank-flange-circle",
    "crank",
    "length",
    "stations",
    asks="Do the bolts pass the plate on the crank's bolt circle?",
    limits=(
        Limit.at_least(
            0.0,
            why="the bolts do not all enter, or enter crooked and pull the plate off centre",
            harm="no_start",
            milestone="crank",
            fix="the plate for this flange; never slot the holes",
            source="definition",
        ),
    ),
    cases=(
        Case({"due": 80 * mm, "has": 80.2 * mm, "hole": 10.6 * mm, "bolt": 10 * mm}, 0.4 * mm, True, "hand sum"),
        Case({"due": 80 * mm, "has": 79.5 * mm, "hole": 10.5 * mm, "bolt": 10 * mm}, 0.0, True, "on the limit"),
        Case({"due": 80 * mm, "has": 76.2 * mm, "hole": 10.6 * mm, "bolt": 10 * mm}, -3.2 * mm, False, "hand sum"),
    ),
)
def crank_flange_circle(
    due=crank.flange_circle, has=drive_plate.circle, hole=drive_plate.bolt_hole, bolt=flywheel_bolts.diameter
):
    """room = (hole - bolt) - difference of the circles, both ways"""
    return [("circle too large", hole - bolt - (has - due)), ("circle too small", hole - bolt - (due - has))]
