"""Hexes of nearly the same size, and tangs, look alike in a drawer: the shaft's end must be the one that the pump's
socket was cut for."""

from kb.roles import oil_pump, pump_drive
from kb.rules._rule import Case, Limit, rule


@rule(
    "pump-drive-end",
    "oil",
    "number",
    "count",
    asks="Does the end of the drive shaft match the pump's socket?",
    limits=(
        Limit.at_most(
            0,
            why="an end of another form does not enter, or turns in the socket and rounds it",
            harm="destroys",
            milestone="prime",
            fix="the shaft that belongs to this pump",
            source="trade-page",
        ),
    ),
    when={oil_pump.drive: ("shaft",)},
    cases=(
        Case({"shaft": "hex_5_16", "socket": "hex_5_16"}, 0, True, "on the limit, from the definition"),
        Case({"shaft": "hex_1_4", "socket": "hex_5_16"}, 1, False, "from the definition"),
    ),
)
def pump_drive_end(shaft=pump_drive.drive_end, socket=oil_pump.drive_end):
    """mismatches = 1 if the shaft's end and the socket differ, else 0"""
    return (shaft != socket) + 0
