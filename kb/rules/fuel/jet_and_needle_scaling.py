"""Ethanol carries less energy and wants less air, litre for litre: every fuel passage, not only the main jet, must pass
more, and less again on the way back to petrol."""

from kb.roles import carburettor, fitted_jets, fuel
from kb.rules._rule import Case, Limit, mm, optional, rule
from kb.rules.fuel._flow import MELTS
from kb.rules.fuel._jets import Hole, lambda_notes, lambdas
from kb.standards.fuels import ethanol_blend, jet_area_ratio

LEAN_PUBLISHED, LEAN_USUAL, RICH = 1.457 / 1.2, 1.457 / 1.3, 0.8
_OWN = [Hole("main", "main_jet", 1.5 * mm), Hole("idle", "idle_jet", 0.6 * mm), Hole("bleed", "air_bleed", 1.2 * mm)]
_E85 = ethanol_blend(0.85)
_WANTED = float(jet_area_ratio(ethanol_blend(0.0).ratio, 745.0, _E85.ratio, _E85.density))
_GIVEN = {"own": _OWN, "fitted": [], "base_ethanol": 0.0, "density": 745.0, "ratio": ethanol_blend(0.0).ratio}
_ON_E85 = {**_GIVEN, "density": _E85.density, "ratio": _E85.ratio}


def _set(area: float) -> list[Hole]:
    return [Hole(each.id, each.circuit, each.bore * area**0.5) for each in _OWN if each.circuit != "air_bleed"]


LIMITS = (
    Limit.at_most(
        LEAN_PUBLISHED,
        why="leaner than any published rule of thumb: under load it burns a hole in a piston",
        harm="destroys",
        milestone="fire",
        fix="a set of jets, restrictions, nozzle and seats for this fuel, from the computed bores",
        source="trade-page",
        name="lean",
    ),
    Limit.at_most(
        LEAN_USUAL,
        why="leaner than the usual thirty per cent more area gives: start richer and come down by the wideband",
        harm="destroys",
        milestone="drive",
        fix="the next larger jets",
        source="trade-page",
        name="usual_lean",
        usual=True,
    ),
    Limit.at_least(
        RICH,
        why="so rich that plugs soot and the bores are washed of their oil",
        harm="wears",
        milestone="drive",
        fix="the set for the fuel that is in the tank",
        source="practice",
        name="rich",
    ),
)


@rule(
    "jet-and-needle-scaling",
    "fuel",
    "number",
    "stations",
    asks="Do the jets that are in the carburettor suit the fuel that is in the tank?",
    limits=LIMITS,
    cases=(
        Case(_GIVEN, 1.0, True, "its own set on its own fuel"),
        Case(_ON_E85, _WANTED, False, "petrol jets on E85: fue-17 of the check values"),
        Case({**_ON_E85, "fitted": _set(1.4)}, _WANTED / 1.4, True, "forty per cent more area"),
        Case({**_ON_E85, "fitted": _set(_WANTED / LEAN_PUBLISHED)}, LEAN_PUBLISHED, None, "on the limit"),
        Case({**_ON_E85, "fitted": _set(_WANTED)[:1]}, _WANTED, False, "only the main jet was changed"),
        Case({**_GIVEN, "fitted": _set(_WANTED)}, 1 / _WANTED, False, "E85 jets left in for petrol"),
    ),
    detail=lambda own, fitted, base_ethanol, density, ratio: lambda_notes(own, fitted, base_ethanol, density, ratio),
    worst="most",
    caution=MELTS,
    advice="Inside the window the answer is: start here, confirm by wideband or plugs. Air bleeds stay to begin with.",
)
def jet_and_needle_scaling(
    own=carburettor.passages.of("circuit", "bore", "rod"),
    fitted=optional(fitted_jets.passages.of("circuit", "bore", "rod"), absent=()),
    base_ethanol=carburettor.base_ethanol,
    density=fuel.density,
    ratio=fuel.stoichiometric_ratio,
):
    """lambda over that of the base set = (r1 / r2) sqrt(d1 / d2) x area of the base set / area that is in, each passage"""
    return lambdas(own, fitted, base_ethanol, density, ratio)
