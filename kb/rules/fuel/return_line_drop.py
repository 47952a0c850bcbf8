"""What the return line and the regulator themselves need, with the whole of the pump's flow going back at idle, is the
lowest pressure that can be held: a carburettor at 6 psi suffers first."""

from typing import Any

from kb.roles import fuel, fuel_line, fuel_pump, fuel_regulator, second_fuel
from kb.rules._rule import Case, Limit, if_known, kpa, mm, optional, rule
from kb.rules.fuel._flow import CAUTION, FIRST, SECOND, Pump, Run, parts_of
from kb.rules.fuel._lines import FUELS, LINE, ORIGIN, PUMP, pump_of
from kb.standards.fuel_flow import square_law

_FUELS = {name: FUELS[name] for name in ("density", "viscosity", "density_2", "viscosity_2")}
_GIVEN = {
    **_FUELS, **PUMP, **LINE, "bore": 7.9 * mm, "fitting_bore": 7.9 * mm, "rise": -0.3, "open_drop": 8 * kpa,
    "open_flow": 150 * 1e-3 / 3600, "set_pressure": 40 * kpa,
}  # fmt: skip


def _floor(given: dict[str, Any]) -> float:
    run = Run(*(given[name] for name in LINE))
    flow = pump_of(given).at(given["set_pressure"])
    return float(
        run.loss(flow, given["density"], given["viscosity"]).total
        + square_law(given["open_drop"], given["open_flow"], flow)
    )


def _case(holds: bool, origin: str = ORIGIN, **changed: Any) -> Case:
    given = {**_GIVEN, **changed}
    return Case(given, given["set_pressure"] - _floor(given), holds, origin, 1e-3)


def _cases() -> tuple[Case, ...]:
    short = 40 * kpa - _floor(_GIVEN)
    flow = pump_of(_GIVEN).at(40 * kpa)
    regulator = 8 * kpa + short / (flow / _GIVEN["open_flow"]) ** 2
    return (
        _case(True),
        _case(True, "on the limit", open_drop=regulator),
        _case(False, bore=4.8 * mm, fitting_bore=4.8 * mm),
    )


def _losses(
    density: Any, viscosity: Any, density_2: Any, viscosity_2: Any, set_pressure: Any, free: Any, rated: Any, at: Any,
    dead: Any, volts: Any, rated_volts: Any, open_drop: Any, open_flow: Any, *run: Any,
) -> tuple[Any, list[tuple[str, Any]]]:  # fmt: skip
    flow = Pump(free, rated, at, dead, volts, rated_volts).at(set_pressure)
    line = Run(*run)
    found = [(FIRST, line.loss(flow, density, viscosity))]
    if density_2:
        found.append((SECOND, line.loss(flow, density_2, viscosity_2)))
    return square_law(open_drop, open_flow, flow), found


def _detail(*given: Any) -> dict[str, Any]:
    regulator, found = _losses(*given)
    notes = parts_of(found)["notes"]
    floor = max(loss.total for _, loss in found) + regulator
    notes.append(f"the regulator, wide open, takes {regulator / 1e3:.2f} kPa of it")
    return {"notes": [*notes, f"the lowest pressure that can be held is {floor / 1e3:.1f} kPa"]}


@rule(
    "return-line-drop",
    "fuel",
    "pressure",
    "stations",
    asks="Can the regulator hold its setting at idle, with all that the pump gives going back through this return?",
    limits=(
        Limit.at_least(
            0.0,
            why="the pressure hangs above the setting at idle and overrun: rich, and a carburettor floods",
            harm="fire",
            milestone="fire",
            fix="the return one size up, a smaller pump, pump speed control, no kinks or narrow fittings",
            source="definition",
        ),
    ),
    cases=_cases,
    when={fuel_regulator.style: ("bypass",), fuel_line.serves: ("return",)},
    detail=_detail,
    caution=CAUTION + " A flooding carburettor is a fire: shut the pump off first.",
    advice="Taken with no fuel used at all, which is a little more than at idle. If the pressure falls when the return is led "
    "to a can, the line is the cause.",
)  # fmt: skip
def return_line_drop(
    density=fuel.density,
    viscosity=fuel.viscosity,
    density_2=optional(second_fuel.density, absent=0.0),
    viscosity_2=optional(second_fuel.viscosity, absent=0.0),
    set_pressure=fuel_regulator.set_pressure,
    free=fuel_pump.free_flow,
    rated=fuel_pump.rated_flow,
    at=fuel_pump.rated_pressure,
    dead=fuel_pump.dead_head,
    volts=if_known(fuel_pump.plug_voltage, 14.4),
    rated_volts=if_known(fuel_pump.rated_voltage, 13.5),
    open_drop=fuel_regulator.open_drop,
    open_flow=fuel_regulator.open_flow,
    bore=fuel_line.bore,
    length=fuel_line.run_length,
    bends=fuel_line.bends,
    elbows=fuel_line.elbows,
    fittings=fuel_line.fittings,
    fitting_bore=fuel_line.fitting_bore,
    rise=fuel_line.rise,
):
    """to spare = setting - (tube + bends + fittings + rise + regulator wide open, at the pump's flow against the setting)"""
    regulator, found = _losses(
        density, viscosity, density_2, viscosity_2, set_pressure, free, rated, at, dead, volts, rated_volts, open_drop,
        open_flow, bore, length, bends, elbows, fittings, fitting_bore, rise,
    )  # fmt: skip
    return [(name, set_pressure - loss.total - regulator) for name, loss in found]
