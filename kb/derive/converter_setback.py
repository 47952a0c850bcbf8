"""How far a seated converter's pads stand behind the bell's face, from gearbox and converter each measured alone."""

from kb.roles import converter, transmission
from kb.rules._rule import derive


@derive(converter.setback, because="depth of the gearbox to the hub's seat, less the height of the converter")
def setback_of_converter(depth=transmission.pump_depth, height=converter.height):
    """setback = bell face to the hub's seat - height of the converter"""
    return depth - height
