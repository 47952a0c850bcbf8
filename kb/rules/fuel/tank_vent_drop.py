"""Fuel leaves only as fast as air comes in: behind a small hole or a stiff valve the tank pulls a vacuum, the engine quits
at speed and starts again after a rest."""

from kb.roles import duty, fuel, fuel_tank, second_fuel
from kb.rules._rule import Case, Limit, kpa, mm, optional, rule
from kb.rules.fuel._flow import CAUTION, asked, g_kwh
from kb.standards.air import air_density
from kb.standards.fuel_flow import vent_drop

PSI = 6894.757293168
_GIVEN = {
    "power": 130e3, "per_work": 330 * g_kwh, "density": 745.0, "ratio": 14.6, "density_2": 0.0, "ratio_2": 0.0,
    "bore": 2.0 * mm, "opening": 0.0, "air": 293.15,
}  # fmt: skip
_FLOW = 130e3 * 330 * g_kwh / 745
_HOLE = 101325 / (287.05287 * 293.15) / 2 * (_FLOW / (0.6 * 3.141592653589793 / 4 * (2 * mm) ** 2)) ** 2


@rule(
    "tank-vent-drop",
    "fuel",
    "pressure",
    "stations",
    asks="At full load, does the tank's vent let in as much air as fuel goes out, without pulling a vacuum?",
    limits=(
        Limit.at_most(
            PSI,
            why="this is all that the whole suction side may take: the pump starves and the tank caves in",
            harm="no_start",
            milestone="drive",
            fix="a wider vent, or a valve that opens earlier",
            source="practice",
        ),
        Limit.at_most(
            2 * kpa,
            why="the suction run needs most of the allowance for itself",
            harm="no_start",
            milestone="drive",
            fix="a wider vent, or a valve that opens earlier",
            source="memory",
        ),
    ),
    cases=(
        Case(_GIVEN, _HOLE, True, "rho/2 (Q / (Cd A))^2 by hand", 1e-6),
        Case({**_GIVEN, "opening": PSI - _HOLE}, PSI, None, "on the limit, and outside the usual range", 1e-6),
        Case({**_GIVEN, "opening": 3 * kpa}, 3 * kpa + _HOLE, None, "hand sum, outside the usual range", 1e-6),
        Case({**_GIVEN, "opening": 10 * kpa}, 10 * kpa + _HOLE, False, "hand sum", 1e-6),
    ),
    worst="most",
    caution=CAUTION + " Fuel vapour: cold tank, no lamp.",
)
def tank_vent_drop(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    bore=fuel_tank.vent_bore,
    opening=fuel_tank.vent_opening,
    air=duty.intake_air,
):
    """vacuum = air density / 2 x (fuel flow / (0.6 x vent area))^2 + pressure that opens the valve, for each fuel"""
    return [
        (each.name, vent_drop(each.flow, bore, air_density(air), opening))
        for each in asked(power, per_work, density, ratio, density_2, ratio_2)
    ]
