"""A shaft without end slack holds the distributor up off its seat, or presses the pump's rotor into its cover."""

from kb.roles import block, oil_pump, pump_drive
from kb.rules._rule import Case, Limit, mm, rule


@rule(
    "pump-drive-slack",
    "oil",
    "length",
    "linear",
    asks="Is there end slack left in the pump's drive shaft?",
    limits=(
        Limit.at_least(
            0.0,
            why="a shaft longer than the room holds the distributor up or binds the pump",
            harm="destroys",
            milestone="prime",
            fix="the shorter shaft that belongs to this distributor and block; trimming it only if it is not hardened",
            source="definition",
        ),
        Limit.at_least(
            0.5 * mm,
            why="heat and end float eat a smaller slack",
            harm="destroys",
            milestone="prime",
            fix="a shim under the distributor's base, or the shorter shaft",
            source="memory",
        ),
        Limit.at_most(
            1.5 * mm,
            why="more slack lets the shaft rise out of the pump's socket",
            harm="wears",
            milestone="drive",
            fix="the retaining clip on the shaft, or the longer shaft",
            source="memory",
        ),
    ),
    when={oil_pump.drive: ("shaft",)},
    cases=(
        Case({"floors": 151 * mm, "shaft": 150 * mm}, 1 * mm, True, "hand sum"),
        Case({"floors": 150 * mm, "shaft": 150 * mm}, 0.0, None, "on the hard limit"),
        Case({"floors": 150 * mm, "shaft": 156 * mm}, -6 * mm, False, "trade page: distributor sits 6 mm proud"),
    ),
)
def pump_drive_slack(floors=block.pump_floor_distance, shaft=pump_drive.shaft_length):
    """slack = distance between the socket floors - shaft length"""
    return floors - shaft
