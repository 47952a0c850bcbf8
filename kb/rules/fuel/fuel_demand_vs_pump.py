"""Lean at full load melts pistons long before it misses: the pump must deliver more than full load asks for, at the
pressure and on the volts that it really sees."""

from kb.roles import compressor, duty, fuel, fuel_pump, fuel_regulator, second_fuel
from kb.rules._rule import Case, Limit, kpa, optional, rule
from kb.rules.fuel._flow import MELTS, Pump, asked, g_kwh, l_h

LINE_SHARE = 1.1  # the line may take a tenth of the pressure: rule supply-line-drop

_PUMP = {"free": 170 * l_h, "rated": 140 * l_h, "at": 50 * kpa, "dead": 100 * kpa, "volts": 13.5, "rated_volts": 13.5}
_GIVEN = {
    **_PUMP, "power": 130e3, "per_work": 330 * g_kwh, "density": 745.0, "ratio": 14.6, "density_2": 0.0, "ratio_2": 0.0,
    "pressure": 40 * kpa, "boost": 0.0,
}  # fmt: skip
_PETROL = 130 * 330 / 745 * l_h  # P b / rho, fue-13 of the check values has the same form
_FLOW = (170 - 30 * 44 / 50) * l_h  # on the line from 170 L/h at nothing to 140 L/h at 50 kPa


@rule(
    "fuel-demand-vs-pump",
    "fuel",
    "number",
    "stations",
    asks="Does the pump deliver what full load asks for, of either fuel, at this pressure and on these volts?",
    limits=(
        Limit.at_least(
            1.15,
            why="with less than 15 % to spare a tired pump or low volts run the engine lean at full load, and it melts",
            harm="destroys",
            milestone="drive",
            fix="a larger pump, a thicker feed wire with a relay, or larger lines",
            source="practice",
        ),
    ),
    cases=(
        Case(_GIVEN, _FLOW / _PETROL, True, "line between two points of the curve over P b / rho"),
        Case({**_GIVEN, "power": 130e3 * _FLOW / _PETROL / 1.15}, 1.15, True, "on the limit"),
        Case({**_GIVEN, "volts": 11.0}, (_FLOW - 170 * l_h * (1 - 11 / 13.5)) / _PETROL, True, "2.5 V lost in the wire"),
        Case({**_GIVEN, "power": 300e3}, _FLOW / _PETROL * 130 / 300, False, "hand sum"),
        Case({**_GIVEN, "power": 200e3, "density_2": 782.8, "ratio_2": 9.8},
             _FLOW / (_PETROL * 200 / 130) / (14.6 * 745 / (9.8 * 782.8)), False, "enough for petrol, not for E85"),
        Case({**_GIVEN, "boost": 50 * kpa}, 140 / 50 * (100 - 94) * l_h / _PETROL, False, "boost uses up the pressure"),
    ),
    when={fuel_pump.drive: ("electric",)},
    caution=MELTS,
    advice="Aim at 15 to 25 % to spare. The second fuel is taken to burn the same air at the same lambda.",
)  # fmt: skip
def fuel_demand_vs_pump(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    pressure=fuel_regulator.set_pressure,
    boost=optional(compressor.boost, absent=0.0),
    free=fuel_pump.free_flow,
    rated=fuel_pump.rated_flow,
    at=fuel_pump.rated_pressure,
    dead=fuel_pump.dead_head,
    volts=fuel_pump.plug_voltage,
    rated_volts=fuel_pump.rated_voltage,
):
    """to spare = pump flow at (1.1 x set pressure + boost) and its volts / (power x fuel per work / density), each fuel"""
    flow = Pump(free, rated, at, dead, volts, rated_volts).at(LINE_SHARE * pressure + boost)
    return [(each.name, flow / each.flow) for each in asked(power, per_work, density, ratio, density_2, ratio_2)]
