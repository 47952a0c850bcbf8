"""A set for the second fuel that forgets a circuit is lean in that circuit only, where nobody looks."""

from kb.roles import carburettor, second_fuel, second_jets
from kb.rules._rule import Case, optional, rule
from kb.rules.fuel._flow import MELTS
from kb.rules.fuel._jets import lambda_notes, lambdas
from kb.rules.fuel.jet_and_needle_scaling import _GIVEN, _ON_E85, _WANTED, LEAN_PUBLISHED, LIMITS, _set


@rule(
    "second-fuel-jets",
    "fuel",
    "number",
    "stations",
    asks="Does the set that is carried for the second fuel suit it, in every circuit?",
    limits=LIMITS,
    cases=(
        Case({**_ON_E85, "fitted": _set(1.42)}, _WANTED / 1.42, True, "forty-two per cent more area"),
        Case({**_ON_E85, "fitted": _set(_WANTED / LEAN_PUBLISHED)}, LEAN_PUBLISHED, None, "on the limit"),
        Case({**_ON_E85, "fitted": _set(_WANTED)[:1]}, _WANTED, False, "the idle jet was forgotten"),
        Case(_GIVEN, 1.0, True, "the same fuel again, no set needed"),
    ),
    detail=lambda own, fitted, base_ethanol, density, ratio: lambda_notes(own, fitted, base_ethanol, density, ratio),
    worst="most",
    caution=MELTS,
    advice="The pump sells as E85 anything from 51 to 83 % ethanol: record what the shake test shows, with its spread.",
)
def second_fuel_jets(
    own=carburettor.passages.of("circuit", "bore", "rod"),
    fitted=optional(second_jets.passages.of("circuit", "bore", "rod"), absent=()),
    base_ethanol=carburettor.base_ethanol,
    density=second_fuel.density,
    ratio=second_fuel.stoichiometric_ratio,
):
    """lambda over that of the base set = (r1 / r2) sqrt(d1 / d2) x area of the base set / area of the set, each passage"""
    return lambdas(own, fitted, base_ethanol, density, ratio)
