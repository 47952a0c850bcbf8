"""Bolt circle of flexplate or flywheel, from neighbouring holes."""

from kb.roles import drive_plate
from kb.rules._rule import derive
from kb.standards.crank_train import bolt_circle


@derive(drive_plate.circle, because="spacing of neighbouring holes / sin(180 degrees / number of holes)")
def circle_of_plate(spacing=drive_plate.hole_spacing, holes=drive_plate.bolts):
    """circle = spacing / sin(pi / holes)"""
    return bolt_circle(spacing, holes)
