"""Depth under the foot, from the floor recorded as rectangles and the place of the foot."""

from kb.roles import pan, pickup
from kb.rules._rule import derive, if_known
from kb.standards.sump import depth_under


@derive(pan.sump_depth, because="the shallowest recorded floor under the outline of the foot", form="rough")
def sump_depth(
    floor=pan.floor.of("x_from", "x_to", "y_from", "y_to", "depth"),
    x=pickup.foot_x,
    y=pickup.foot_y,
    length=pickup.foot_length,
    width=pickup.foot_width,
    shape=if_known(pickup.foot_shape, "slot"),
):
    """depth = least depth of the floor rectangles under the foot"""
    return depth_under(floor, x, y, length, width, shape)
