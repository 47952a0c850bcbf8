"""The bowl must fill as fast as it empties: at the pressure that is left, the needle's seat has to pass what full load asks
for, of either fuel."""

import math

from kb.roles import carburettor, duty, fitted_jets, fuel, fuel_regulator, second_fuel, second_jets
from kb.rules._rule import Case, Limit, kpa, mm, optional, rule
from kb.rules.fuel._flow import MELTS, asked, g_kwh
from kb.rules.fuel._jets import Hole, seat_bores
from kb.standards.fuel_flow import needle_flow

_GIVEN = {
    "power": 130e3, "per_work": 330 * g_kwh, "density": 745.0, "ratio": 14.6, "density_2": 0.0, "ratio_2": 0.0,
    "setting": 41 * kpa, "droop": 5 * kpa, "own": [Hole("seat", "needle_seat", 2.5 * mm)], "fitted": [], "second": [],
}  # fmt: skip
_DEMAND = 130e3 * 330 * g_kwh / 745
_PASSES = 0.7 * math.pi / 4 * (2.5 * mm) ** 2 * math.sqrt(2 * 36 * kpa / 745)
_BARE = math.sqrt(_DEMAND / _PASSES) * 2.5 * mm


@rule(
    "needle-seat-flow",
    "fuel",
    "number",
    "stations",
    asks="Does the needle's seat pass what full load asks for?",
    limits=(
        Limit.at_least(
            1.0,
            why="the bowl empties at full load: lean at the top end only",
            harm="destroys",
            milestone="drive",
            fix="a larger seat that the float can still shut, two bowls, or more pressure inside the carburettor's band",
            source="definition",
        ),
    ),
    cases=(
        Case(_GIVEN, _PASSES / _DEMAND, True, "Cd A sqrt(2 dp / rho) by hand", 1e-6),
        Case({**_GIVEN, "own": [Hole("seat", "needle_seat", _BARE)]}, 1.0, True, "on the limit", 1e-6),
        Case({**_GIVEN, "own": [Hole("seat", "needle_seat", 1.25 * mm)]}, _PASSES / _DEMAND / 4, False, "half the bore", 1e-6),
        Case({**_GIVEN, "own": [Hole("a", "needle_seat", 1.25 * mm), Hole("b", "needle_seat", 1.25 * mm)]},
             _PASSES / _DEMAND / 2, True, "two seats of half the bore", 1e-6),
    ),
    caution=MELTS,
    advice="A seat as large again in area lifts its needle at half the pressure: see needle-shuts.",
)  # fmt: skip
def needle_seat_flow(
    power=duty.power,
    per_work=duty.fuel_per_work,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
    density_2=optional(second_fuel.density, absent=0.0),
    ratio_2=optional(second_fuel.stoichiometric_ratio, absent=0.0),
    setting=fuel_regulator.set_pressure,
    droop=fuel_regulator.droop,
    own=carburettor.passages.of("circuit", "bore"),
    fitted=optional(fitted_jets.passages.of("circuit", "bore"), absent=()),
    second=optional(second_jets.passages.of("circuit", "bore"), absent=()),
):
    """flow over demand = sum of 0.7 x seat area x sqrt(2 (setting - droop) / density) / demand, for each fuel"""
    sets = (fitted, second)
    return [
        (each.name, sum(needle_flow(bore, setting - droop, each.density) for bore in seat_bores(own, jets)) / each.flow)
        for each, jets in zip(asked(power, per_work, density, ratio, density_2, ratio_2), sets, strict=False)
    ]
