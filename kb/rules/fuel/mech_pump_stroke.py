"""The arm of a mechanical pump must lie on its lobe all the way round: a short arm or a thick spacer leaves it in the air,
and the carburettor stays dry with a good pump."""

from kb.roles import block, fuel_pump
from kb.rules._rule import Case, Limit, mm, rule
from kb.rules.fuel._flow import CAUTION
from kb.standards.fuel_flow import touch


@rule(
    "mech-pump-stroke",
    "fuel",
    "length",
    "linear",
    asks="Does the pump's arm touch the lobe or pushrod even at its lowest?",
    limits=(
        Limit.at_least(
            0.0,
            why="the arm hangs in the air for part of the turn and pumps little or nothing",
            harm="no_start",
            milestone="fire",
            fix="the arm that belongs to this block, a thinner spacer, or a pushrod of the right length",
            source="definition",
        ),
    ),
    cases=(
        Case({"reach": 45 * mm, "spacer": 5 * mm, "low": 38 * mm}, 2 * mm, True, "hand sum"),
        Case({"reach": 45 * mm, "spacer": 7 * mm, "low": 38 * mm}, 0.0, True, "on the limit"),
        Case({"reach": 45 * mm, "spacer": 12 * mm, "low": 38 * mm}, -5 * mm, False, "hand sum"),
    ),
    when={fuel_pump.drive: ("mechanical",)},
    caution=CAUTION,
)
def mech_pump_stroke(reach=fuel_pump.reach_at_rest, spacer=fuel_pump.spacer, low=block.fuel_pump_low):
    """touch = reach of the free arm - spacer - pad to the lobe at its lowest"""
    return touch(reach, spacer, low)
