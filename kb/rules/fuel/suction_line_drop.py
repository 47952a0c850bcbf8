"""A pump can push past a restriction, but only the air's own weight feeds it: warm fuel boils long before the pump says
so, and what boils does not burn."""

from typing import Any

from kb.maths import where
from kb.roles import duty, fuel, fuel_filter, fuel_line, fuel_pump, fuel_regulator, second_fuel
from kb.rules._rule import Case, Limit, if_known, kpa, mm, optional, rule
from kb.rules.fuel._flow import CAUTION, Pump, Run, asked, parts_of
from kb.rules.fuel._lines import DUTY, FILTER, FUELS, LINE, PUMP, case, losses

PSI = 6894.757293168
_GIVEN = {**DUTY, **FUELS, **PUMP, **LINE, **FILTER, "style": "bypass", "pressure": 40 * kpa, "length": 0.8}


def _cases() -> tuple[Case, ...]:
    due = losses(_GIVEN, through_line="pump")[0]
    high = {**_GIVEN, "rise": 0.3 + (PSI - due) / (745 * 9.80665)}
    narrow = {**_GIVEN, "bore": 4.8 * mm, "fitting_bore": 4.8 * mm, "length": 2.0}
    dead_end = {**_GIVEN, "style": "dead_end"}
    return (
        case(_GIVEN, due, True),
        case(high, PSI, True, "on the limit"),
        case(narrow, losses(narrow, through_line="pump")[0], False),
        case(dead_end, losses(dead_end, through_line="demand")[0], True),
    )


def _losses(
    power: Any, per_work: Any, density: Any, ratio: Any, viscosity: Any, density_2: Any, ratio_2: Any, viscosity_2: Any,
    style: Any, pressure: Any, free: Any, rated: Any, at: Any, dead: Any, volts: Any, rated_volts: Any, *run: Any,
) -> list[tuple[str, Any]]:  # fmt: skip
    pumped = Pump(free, rated, at, dead, volts, rated_volts).at(pressure)
    line = Run(*run)
    return [
        (each.name, line.loss(where(style == "dead_end", each.flow, pumped), each.density, each.viscosity))
        for each in asked(power, per_work, density, ratio, density_2, ratio_2, viscosity, viscosity_2)
    ]


@rule(
    "suction-line-drop",
    "fuel",
    "pressure",
    "stations",
    asks="Can the fuel reach the pump without being pulled below the pressure of the air by more than a pound?",
    limits=(
        Limit.at_most(
            PSI,
            why="more suction than 1 psi lets warm fuel boil in the line, and the pump passes vapour",
            harm="destroys",
            milestone="drive",
            fix="pump at the tank and below its floor, a wider and shorter suction run, a coarser filter before it",
            source="practice",
        ),
    ),
    cases=_cases,
    when={fuel_line.serves: ("suction",)},
    detail=lambda *given: parts_of(_losses(*given)),
    worst="most",
    caution=CAUTION,
    advice="Judged with the tank nearly empty and its vent free: what the vent takes comes on top (tank-vent-drop).",
)
def suction_line_drop(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    viscosity=fuel.viscosity,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    viscosity_2=optional(second_fuel.viscosity, absent=0.0),
    style=fuel_regulator.style,
    pressure=fuel_regulator.set_pressure,
    free=fuel_pump.free_flow,
    rated=fuel_pump.rated_flow,
    at=fuel_pump.rated_pressure,
    dead=fuel_pump.dead_head,
    volts=if_known(fuel_pump.plug_voltage, 14.4),
    rated_volts=if_known(fuel_pump.rated_voltage, 13.5),
    bore=fuel_line.bore,
    length=fuel_line.run_length,
    bends=fuel_line.bends,
    elbows=fuel_line.elbows,
    fittings=fuel_line.fittings,
    fitting_bore=fuel_line.fitting_bore,
    rise=fuel_line.rise,
    filter_drop=optional(fuel_filter.drop, absent=0.0),
    filter_flow=optional(fuel_filter.drop_flow, absent=0.0),
):
    """depression = tube + bends + fittings + filter + density x g x rise, at the flow that goes through the pump"""
    found = _losses(
        power, per_work, density, ratio, viscosity, density_2, ratio_2, viscosity_2, style, pressure, free, rated, at, dead,
        volts, rated_volts, bore, length, bends, elbows, fittings, fitting_bore, rise, filter_drop, filter_flow,
    )  # fmt: skip
    return [(name, loss.total) for name, loss in found]
