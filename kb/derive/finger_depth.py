"""Depth of the clutch's fingers under the gearbox face, from the pieces of the stack."""

from kb.roles import bellhousing, clutch, crank, crank_spacer, drive_plate, plate_stack
from kb.rules._rule import derive, optional


@derive(clutch.finger_depth, because="bell and plates, less crank flange, spacer, flywheel and height of the cover")
def depth_of_fingers(
    bell=bellhousing.depth,
    plates=optional(plate_stack.plates.of("thickness"), absent=frozenset()),
    flange=crank.flange_position,
    spacer=optional(crank_spacer.thickness, absent=0.0),
    flywheel=drive_plate.friction_height,
    cover=clutch.finger_height,
):
    """depth = bell + plates - (crank flange + spacer + friction face + height of the fingers)"""
    return bell + sum(each.thickness for each in plates) - (flange + spacer + flywheel + cover)
