"""At full lift the arm must not come up against its stop: a long arm without its spacer snaps."""

from kb.roles import block, fuel_pump
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.fuel._flow import CAUTION
from kb.standards.fuel_flow import room_at_lift


@rule(
    "mech-pump-room",
    "fuel",
    "length",
    "linear",
    asks="Has the pump's arm travel left when the lobe is at full lift?",
    limits=(
        Limit.at_least(
            0.0,
            why="the arm comes up against its stop and snaps, or wears the lobe away",
            harm="destroys",
            milestone="crank",
            fix="the right spacer, or the arm that belongs to this block",
            source="definition",
        ),
        Limit.at_least(
            0.5 * mm,
            why="wear, heat and a crushed gasket eat what little is left",
            harm="wears",
            milestone="drive",
            fix="a thicker spacer, as far as the arm still touches at the lowest",
            source="memory",
        ),
    ),
    cases=(
        Case({"pressed": 33 * mm, "spacer": 5 * mm, "high": 30 * mm}, 2 * mm, True, "hand sum"),
        Case(
            {"pressed": 35 * mm, "spacer": 5 * mm, "high": 30 * mm}, 0.0, None, "on the limit, outside the usual range"
        ),
        Case({"pressed": 33 * mm, "spacer": 0.0, "high": 30 * mm}, -3 * mm, False, "no spacer"),
    ),
    when={fuel_pump.drive: ("mechanical",)},
    caution=CAUTION,
)
def mech_pump_room(pressed=fuel_pump.reach_pressed, spacer=fuel_pump.spacer, high=block.fuel_pump_high):
    """room = pad to the lobe at full lift + spacer - reach of the arm fully pressed"""
    return room_at_lift(pressed, spacer, high)
