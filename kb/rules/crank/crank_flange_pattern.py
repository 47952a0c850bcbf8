"""Two plates of one family look alike and one has a hole that stands out, or a pin that wants its own hole: never slot them."""

from kb.roles import crank, drive_plate
from kb.rules._rule import Case, Limit, rule


@rule(
    "crank-flange-pattern",
    "crank",
    "number",
    "count",
    asks="Are the plate's holes those of the crank's flange: number, offset hole, locating pin?",
    limits=(
        Limit.at_most(
            0,
            why="the plate does not go on, or goes on off centre and with its weight in the wrong place",
            harm="no_start",
            milestone="crank",
            fix="the plate for this flange; never slot the holes",
            source="practice",
        ),
    ),
    cases=(
        Case({"due": 6, "has": 6, "due_offset": True, "has_offset": True, "pin": False, "hole": True}, 0, True,
             "on the limit: a pin hole without a pin does no harm (service manual: some have no pin)"),
        Case({"due": 6, "has": 8, "due_offset": False, "has_offset": False, "pin": False, "hole": False}, 1, False, "definition"),
        Case({"due": 6, "has": 6, "due_offset": True, "has_offset": False, "pin": True, "hole": False}, 2, False, "definition"),
    ),
)  # fmt: skip
def crank_flange_pattern(
    due=crank.flange_bolts,
    has=drive_plate.bolts,
    due_offset=crank.flange_offset_hole,
    has_offset=drive_plate.offset_hole,
    pin=crank.flange_pin,
    hole=drive_plate.pin_hole,
):
    """mismatches = (number differs) + (offset hole differs) + (pin without a hole)"""
    return (due != has) * 1 + (due_offset != has_offset) * 1 + (pin > hole) * 1
