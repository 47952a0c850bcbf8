"""A round foot is as wide as it is long."""

from kb.roles import pickup
from kb.rules._rule import derive


@derive(pickup.foot_width, because="a round foot is as wide as it is long", when={pickup.foot_shape: ("round",)})
def width_of_round_foot(length=pickup.foot_length):
    """width = diameter of the round mouth"""
    return length
