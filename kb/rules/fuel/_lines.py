"""Worked cases of the line rules; the parts of each sum are tested against outside values in tests/standards."""

from __future__ import annotations

from typing import Any

from kb.rules._rule import Case, kpa, mm
from kb.rules.fuel._flow import Pump, Run, asked, g_kwh, l_h

ORIGIN = "sum of parts that are each tested against published values"

DUTY: dict[str, Any] = {"power": 130e3, "per_work": 330 * g_kwh}
FUELS: dict[str, Any] = {
    "density": 745.0, "ratio": 14.6, "viscosity": 0.6e-6, "density_2": 0.0, "ratio_2": 0.0, "viscosity_2": 0.0,
}  # fmt: skip
E85: dict[str, Any] = {"density_2": 782.8, "ratio_2": 9.8, "viscosity_2": 1.3e-6}
PUMP: dict[str, Any] = {
    "free": 170 * l_h, "rated": 140 * l_h, "at": 50 * kpa, "dead": 100 * kpa, "volts": 13.5, "rated_volts": 13.5,
}  # fmt: skip
LINE: dict[str, Any] = {
    "bore": 9.5 * mm, "length": 4.5, "bends": 4, "elbows": 1, "fittings": 2, "fitting_bore": 8.0 * mm, "rise": 0.3,
}  # fmt: skip
FILTER: dict[str, Any] = {"filter_drop": 1 * kpa, "filter_flow": 150 * l_h}


def pump_of(given: dict[str, Any]) -> Pump:
    return Pump(*(given[name] for name in PUMP))


def losses(given: dict[str, Any], *, through_line: str) -> list[float]:
    """Totals of the worked case, one a fuel; `through_line` says whether the pump's or the demand's flow passes."""
    run = Run(*(given[name] for name in LINE))
    run = run._replace(filter_drop=given.get("filter_drop", 0.0), filter_flow=given.get("filter_flow", 0.0))
    made = []
    for each in asked(*(given[name] for name in (*DUTY, "density", "ratio", "density_2", "ratio_2", "viscosity",
                                                   "viscosity_2"))):  # fmt: skip
        flow = pump_of(given).at(given["pressure"]) if through_line == "pump" else each.flow
        made.append(float(run.loss(flow, each.density, each.viscosity).total))
    return made


def case(given: dict[str, Any], due: float, holds: bool, origin: str = ORIGIN) -> Case:
    return Case(given, due, holds, origin, 1e-6 * abs(due))
