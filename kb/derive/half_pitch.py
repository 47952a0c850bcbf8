"""Half the angle between two tooth positions, from their number."""

from math import pi

from kb.roles import trigger_wheel
from kb.rules._rule import derive


@derive(trigger_wheel.half_pitch, because="a full turn over twice the number of positions")
def half_pitch(positions=trigger_wheel.positions):
    """half pitch = pi / positions"""
    return pi / positions
