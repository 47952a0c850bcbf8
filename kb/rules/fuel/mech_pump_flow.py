"""A pump on the engine's own lobe is sized for the engine it came with, on petrol: more power, or ethanol, asks for more."""

from kb.roles import carburettor, duty, fuel, fuel_pump, second_fuel
from kb.rules._rule import Case, Limit, kpa, optional, rule
from kb.rules.fuel._flow import MELTS, Pump, asked, g_kwh, l_h

_GIVEN = {
    "free": 150 * l_h, "rated": 120 * l_h, "at": 25 * kpa, "dead": 45 * kpa, "power": 110e3, "per_work": 330 * g_kwh,
    "density": 745.0, "ratio": 14.6, "density_2": 0.0, "ratio_2": 0.0, "pressure": 25 * kpa,
}  # fmt: skip
_PETROL = 110 * 330 / 745 * l_h


@rule(
    "mech-pump-flow",
    "fuel",
    "number",
    "stations",
    asks="Does the mechanical pump deliver what full load asks for, of either fuel?",
    limits=(
        Limit.at_least(
            1.15,
            why="with less than 15 % to spare the bowl empties at full load and the engine runs lean",
            harm="destroys",
            milestone="drive",
            fix="a larger pump, or an electric one with its own regulator",
            source="practice",
        ),
    ),
    cases=(
        Case(_GIVEN, 120 * l_h / _PETROL, True, "rated flow over P b / rho"),
        Case({**_GIVEN, "power": 110e3 * 120 * l_h / _PETROL / 1.15}, 1.15, True, "on the limit"),
        Case({**_GIVEN, "power": 250e3}, 120 * l_h / _PETROL * 110 / 250, False, "hand sum"),
    ),
    when={fuel_pump.drive: ("mechanical",)},
    caution=MELTS,
)
def mech_pump_flow(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    pressure=carburettor.inlet_pressure_least,
    free=fuel_pump.free_flow,
    rated=fuel_pump.rated_flow,
    at=fuel_pump.rated_pressure,
    dead=fuel_pump.dead_head,
):
    """to spare = pump flow at the carburettor's lowest pressure / (power x fuel per work / density), for each fuel"""
    flow = Pump(free, rated, at, dead, 1.0, 1.0).at(pressure)
    return [(each.name, flow / each.flow) for each in asked(power, per_work, density, ratio, density_2, ratio_2)]
