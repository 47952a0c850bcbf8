"""Ethanol swells or dissolves some rubbers, plastics and cork, and loosens old varnish: float, seals and tank must stand
whatever is going to be poured in."""

from typing import Any

from kb.roles import carburettor, fuel, fuel_pump, fuel_regulator, fuel_tank, second_fuel
from kb.rules._rule import Case, Limit, optional, rule
from kb.rules.fuel._flow import CAUTION
from kb.rules.fuel._materials import NO_FUEL, found, notes

_GOOD = frozenset({"nitrile", "brass"})
_GIVEN = {
    "ethanol": 0.05,
    "second": NO_FUEL,
    "in_carb": _GOOD,
    "in_pump": _GOOD,
    "in_regulator": _GOOD,
    "in_tank": frozenset({"steel"}),
}


def _parts(in_carb: Any, in_pump: Any, in_regulator: Any, in_tank: Any) -> tuple[tuple[str, Any], ...]:
    return (("carburettor", in_carb), ("pump", in_pump), ("regulator", in_regulator), ("tank", in_tank))


@rule(
    "fuel-material-compat",
    "fuel",
    "number",
    "count",
    asks="Do tank, pump, regulator and carburettor stand the fuels that go through them?",
    limits=(
        Limit.at_most(
            0,
            why="a swollen seal leaks onto a hot engine, a cork float sinks and floods, freed varnish blocks the filter",
            harm="fire",
            milestone="fire",
            fix="seals, float and gaskets made for this fuel; carry a spare filter for the first tank",
            source="trade-page",
        ),
    ),
    cases=(
        Case(_GIVEN, 0, True, "on the limit, from the table"),
        Case({**_GIVEN, "second": 0.85, "in_carb": frozenset({"cork", "brass"})}, 1, False, "cork in E85"),
        Case({**_GIVEN, "in_tank": frozenset({"polyester_resin"}), "second": 0.7}, 1, False, "resin tank"),
        Case({**_GIVEN, "in_pump": frozenset({"epdm"})}, 1, False, "coolant rubber in petrol"),
    ),
    detail=lambda ethanol, second, *parts: notes(_parts(*parts), (ethanol, second)),
    caution=CAUTION,
    advice="Compounds of one name vary: soak a cut piece for 48 h and caliper its swelling where the marking is silent.",
)
def fuel_material_compat(
    ethanol=fuel.ethanol,
    second=optional(second_fuel.ethanol, absent=NO_FUEL),
    in_carb=optional(carburettor.materials, absent=frozenset()),
    in_pump=optional(fuel_pump.materials, absent=frozenset()),
    in_regulator=optional(fuel_regulator.materials, absent=frozenset()),
    in_tank=optional(fuel_tank.materials, absent=frozenset()),
):
    """unfit = pairs of a material and a fuel that the table calls bad"""
    return len(found(_parts(in_carb, in_pump, in_regulator, in_tank), (ethanol, second), "bad"))
