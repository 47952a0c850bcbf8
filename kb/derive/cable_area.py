"""Copper of a cable, from the size that it is sold as."""

from kb.roles import charge_cable, feed_cable, return_cable
from kb.rules._rule import derive
from kb.standards.wire import effective_area

_BECAUSE = "metric sizes by the greatest resistance in IEC 60228, class 5; gauges by ASTM B258 and 2 % for the lay"


@derive(feed_cable.area, because=_BECAUSE)
def feed_area(size=feed_cable.size):
    """area = area of plain copper with the resistance of the size"""
    return effective_area(size)


@derive(return_cable.area, because=_BECAUSE)
def return_area(size=return_cable.size):
    """area = area of plain copper with the resistance of the size"""
    return effective_area(size)


@derive(charge_cable.area, because=_BECAUSE)
def charge_area(size=charge_cable.size):
    """area = area of plain copper with the resistance of the size"""
    return effective_area(size)
