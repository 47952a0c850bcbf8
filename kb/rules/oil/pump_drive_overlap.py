"""A drive that engages by a few millimetres rounds off under load: there is pressure with a drill, and none half a mile
later."""

from kb.maths import least
from kb.roles import block, oil_pump, pump_drive
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pump-drive-overlap",
    "oil",
    "length",
    "rough",
    asks="With the shaft at either end of its play, how far does the other end still engage?",
    limits=(
        Limit.at_least(
            0.0,
            why="without overlap the pump does not turn",
            harm="destroys",
            milestone="prime",
            fix="the longer shaft that belongs to this distributor and block",
            source="definition",
        ),
        Limit.at_least(
            6 * mm,
            why="a shallow overlap rounds off under load",
            harm="destroys",
            milestone="prime",
            fix="the longer shaft that belongs to this distributor and block",
            source="memory",
        ),
    ),
    when={oil_pump.drive: ("shaft",)},
    cases=(
        Case(
            {"shaft": 150 * mm, "upper": 12 * mm, "lower": 13 * mm, "floors": 151 * mm},
            11 * mm,
            True,
            "hand sum: shaft down",
        ),
        Case({"shaft": 145 * mm, "upper": 12 * mm, "lower": 12 * mm, "floors": 151 * mm}, 6 * mm, True, "on the limit"),
        Case({"shaft": 138 * mm, "upper": 12 * mm, "lower": 14 * mm, "floors": 151 * mm}, -1 * mm, False, "hand sum"),
        Case(
            {"shaft": 150 * mm, "upper": 12 * mm, "lower": 4 * mm, "floors": 151 * mm},
            3 * mm,
            None,
            "hand sum: shaft up",
        ),
    ),
)
def pump_drive_overlap(
    shaft=pump_drive.shaft_length,
    upper=pump_drive.upper_socket_depth,
    lower=oil_pump.socket_depth,
    floors=block.pump_floor_distance,
):
    """overlap = shaft length + depth of the shallower of the two sockets - distance between the socket floors"""
    return shaft + least(upper, lower) - floors
