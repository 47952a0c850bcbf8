"""Pressure is spent on friction before it reaches the float or the rail; the hose's bore counts, not the thread on its
end, and with a bypass regulator at the engine the whole of the pump's flow goes through it."""

from typing import Any

from kb.maths import where
from kb.roles import duty, fuel, fuel_filter, fuel_line, fuel_pump, fuel_regulator, second_fuel
from kb.rules._rule import Case, Limit, if_known, kpa, mm, optional, percent, rule
from kb.rules.fuel._flow import CAUTION, Pump, Run, asked, parts_of
from kb.rules.fuel._lines import DUTY, E85, FILTER, FUELS, LINE, PUMP, case, losses

_GIVEN = {**DUTY, **FUELS, **PUMP, **LINE, **FILTER, "style": "bypass", "pressure": 40 * kpa}


def _cases() -> tuple[Case, ...]:
    due = losses(_GIVEN, through_line="pump")[0]
    narrow = {**_GIVEN, "bore": 6.2 * mm, "fitting_bore": 6.2 * mm}
    dead_end = {**_GIVEN, **E85, "style": "dead_end"}
    # At the limit: the rise alone makes up a tenth of the pressure.
    level = {**_GIVEN, "rise": 0.3 + (4 * kpa - due) / (745 * 9.80665)}
    return (
        case(_GIVEN | {"rise": 0.0}, losses(_GIVEN | {"rise": 0.0}, through_line="pump")[0] / (40 * kpa), True),
        case(level, 0.1, True, "on the limit"),
        case(narrow, losses(narrow, through_line="pump")[0] / (40 * kpa), False),
        case(dead_end, max(losses(dead_end, through_line="demand")) / (40 * kpa), True),
    )


def _losses(
    power: Any, per_work: Any, density: Any, ratio: Any, viscosity: Any, density_2: Any, ratio_2: Any, viscosity_2: Any,
    style: Any, pressure: Any, free: Any, rated: Any, at: Any, dead: Any, volts: Any, rated_volts: Any, *run: Any,
) -> list[tuple[str, Any]]:  # fmt: skip
    pumped = Pump(free, rated, at, dead, volts, rated_volts).at(pressure)
    line = Run(*run)
    return [
        (each.name, line.loss(where(style == "bypass", pumped, each.flow), each.density, each.viscosity))
        for each in asked(power, per_work, density, ratio, density_2, ratio_2, viscosity, viscosity_2)
    ]


@rule(
    "supply-line-drop",
    "fuel",
    "percent",
    "stations",
    asks="At full flow, does the supply line leave nearly all of the pressure to the carburettor or rail?",
    limits=(
        Limit.at_most(
            10 * percent,
            why="a line that takes more than a tenth of the pressure starves the engine at the top end only",
            harm="destroys",
            milestone="drive",
            fix="the next size of line, fewer elbows, wider fittings, or a freer filter",
            source="practice",
        ),
    ),
    cases=_cases,
    when={fuel_line.serves: ("supply",)},
    detail=lambda *given: parts_of(_losses(*given)),
    worst="most",
    caution=CAUTION,
)
def supply_line_drop(
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
    """share = (tube + bends + fittings + filter + density x g x rise) / set pressure, at the flow that goes through"""
    found = _losses(
        power, per_work, density, ratio, viscosity, density_2, ratio_2, viscosity_2, style, pressure, free, rated, at, dead,
        volts, rated_volts, bore, length, bends, elbows, fittings, fitting_bore, rise, filter_drop, filter_flow,
    )  # fmt: skip
    return [(name, loss.total / pressure) for name, loss in found]
