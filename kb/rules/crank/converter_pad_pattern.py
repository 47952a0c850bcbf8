"""A converter with three pads does not bolt to a plate with four holes, nor one of another circle."""

from kb.roles import converter, converter_bolts, drive_plate
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "converter-pad-pattern",
    "crank",
    "length",
    "stations",
    asks="Do the converter's bolts pass the flexplate on its bolt circle?",
    limits=(
        Limit.at_least(
            0.0,
            why="the converter does not bolt up, or is pulled off centre",
            harm="no_start",
            milestone="crank",
            fix="the flexplate for this converter; never slot the holes",
            source="definition",
        ),
    ),
    cases=(
        Case({"pads": 3, "holes": 3, "due": 273 * mm, "has": 273.1 * mm, "hole": 10.4 * mm, "bolt": 9.5 * mm}, 0.8 * mm, True, "hand sum"),
        Case({"pads": 3, "holes": 3, "due": 273 * mm, "has": 272.1 * mm, "hole": 10.4 * mm, "bolt": 9.5 * mm}, 0.0, True, "on the limit"),
        Case({"pads": 3, "holes": 3, "due": 292 * mm, "has": 273 * mm, "hole": 10.4 * mm, "bolt": 9.5 * mm}, -18.1 * mm, False, "hand sum"),
        Case({"pads": 4, "holes": 3, "due": 273 * mm, "has": 273 * mm, "hole": 10.4 * mm, "bolt": 9.5 * mm}, -272.1 * mm, False,
             "another number of pads: as if the whole circle were off"),
    ),
)  # fmt: skip
def converter_pad_pattern(
    pads=converter.pads,
    holes=drive_plate.pads,
    due=converter.pad_circle,
    has=drive_plate.pad_circle,
    hole=drive_plate.pad_hole,
    bolt=converter_bolts.diameter,
):
    """room = (hole - bolt) - difference of the circles, both ways; the whole circle is off if the numbers differ"""
    off = due * ((pads != holes) * 1)
    return [
        ("circle too large", hole - bolt - (has - due) - off),
        ("circle too small", hole - bolt - (due - has) - off),
    ]
