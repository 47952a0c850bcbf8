"""Pressure times the seat's area lifts the needle: a seat bored out for ethanol floods at a pressure that the old one held."""

from kb.maths import least
from kb.roles import carburettor, fitted_jets, fuel_pump, fuel_regulator, second_jets
from kb.rules._rule import Case, Limit, kpa, mm, optional, rule
from kb.rules.fuel._flow import CAUTION, FIRST, SECOND
from kb.rules.fuel._jets import Hole, seat_bores
from kb.rules.fuel.carb_pressure_band import NO_REGULATOR
from kb.standards.fuel_flow import needle_force

_SEAT = [Hole("seat", "needle_seat", 2.5 * mm)]
_GIVEN = {"setting": 41 * kpa, "dead": 100 * kpa, "own": _SEAT, "fitted": [], "second": [], "float_force": 0.45}
_FORCE = 41 * kpa * 3.141592653589793 / 4 * (2.5 * mm) ** 2


@rule(
    "needle-shuts",
    "fuel",
    "force",
    "stations",
    asks="Can the float hold its needle shut against the pressure, with either set of seats?",
    limits=(
        Limit.at_most(
            carburettor.float_force,
            why="the fuel lifts the needle off its seat and the engine floods, most of all standing still",
            harm="fire",
            milestone="fire",
            fix="a lower setting, a smaller seat, or two bowls",
            source="definition",
            name="float_force",
        ),
    ),
    cases=(
        Case(_GIVEN, _FORCE, True, "pressure x area by hand"),
        Case({**_GIVEN, "float_force": _FORCE}, _FORCE, True, "on the limit"),
        Case(
            {**_GIVEN, "setting": 90 * kpa, "dead": 300 * kpa, "float_force": 0.3}, _FORCE / 41 * 90, False, "hand sum"
        ),
        Case({**_GIVEN, "second": [Hole("seat", "needle_seat", 5 * mm)]}, _FORCE * 4, False, "twice the bore"),
    ),
    worst="most",
    caution=CAUTION + " A flooding carburettor is a fire: shut the pump off first.",
)
def needle_shuts(
    setting=optional(fuel_regulator.set_pressure, absent=NO_REGULATOR),
    dead=fuel_pump.dead_head,
    own=carburettor.passages.of("circuit", "bore"),
    fitted=optional(fitted_jets.passages.of("circuit", "bore"), absent=()),
    second=optional(second_jets.passages.of("circuit", "bore"), absent=()),
):
    """force = the lesser of setting and dead head x area of the largest seat, with the fitted and with the second set"""
    pressure = least(setting, dead)
    found = [(FIRST, seat_bores(own, fitted))]
    if second:
        found.append((SECOND, seat_bores(own, second)))
    return [(name, needle_force(max(bores), pressure)) for name, bores in found]
