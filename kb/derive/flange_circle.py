"""Bolt circle of the crank's flange, from neighbouring holes."""

from kb.roles import crank
from kb.rules._rule import derive
from kb.standards.crank_train import bolt_circle


@derive(crank.flange_circle, because="spacing of neighbouring holes / sin(180 degrees / number of holes)")
def circle_of_flange(spacing=crank.flange_hole_spacing, holes=crank.flange_bolts):
    """circle = spacing / sin(pi / holes)"""
    return bolt_circle(spacing, holes)
