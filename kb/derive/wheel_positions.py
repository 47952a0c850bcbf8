"""Tooth positions of a wheel, from the name of its pattern."""

from kb.roles import trigger_wheel
from kb.rules._rule import derive
from kb.standards.patterns import parse_pattern


@derive(trigger_wheel.positions, because="the number in front of its pattern's name")
def positions_of_pattern(pattern=trigger_wheel.pattern):
    """positions = those of the pattern, missing ones counted"""
    positions = parse_pattern(pattern).positions
    if not positions:
        raise ValueError("a pattern that is listed edge by edge has no even positions")
    return positions
