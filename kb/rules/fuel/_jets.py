"""Jets of a carburettor and of the sets that replace some of them, for the two-fuel rules."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.standards.fuels import ethanol_blend, jet_area_ratio
from kb.standards.two_fuels import annulus, fitted_lambda

SCALED = ("main_jet", "idle_jet", "power_restriction", "accelerator_nozzle")


class Hole:
    """A hole for worked cases."""

    def __init__(self, id: str, circuit: str, bore: float, rod: float = 0.0) -> None:
        self.id, self.circuit, self.bore, self.rod = id, circuit, bore, rod


def in_place(own: Sequence[Any], fitted: Sequence[Any]) -> list[tuple[Any, Any]]:
    """(hole of the carburettor's own set, what is in its place), by name; a set replaces only what it names."""
    by_name = {each.id: each for each in fitted}
    return [(each, by_name.get(each.id, each)) for each in own]


def unknown_to(own: Sequence[Any], fitted: Sequence[Any]) -> list[str]:
    """Names in a set that the carburettor has not."""
    names = {each.id for each in own}
    return [each.id for each in fitted if each.id not in names]


def lambdas(
    own: Sequence[Any], fitted: Sequence[Any], base_ethanol: Any, density: Any, ratio: Any
) -> list[tuple[str, Any]]:
    """(name, lambda over that of the own set on its base fuel) for every fuel passage that scales by area."""
    base = ethanol_blend(base_ethanol)
    wanted = jet_area_ratio(base.ratio, base.density, ratio, density)
    return [
        (mine.id, fitted_lambda(wanted, annulus(mine.bore, mine.rod), annulus(there.bore, there.rod)))
        for mine, there in in_place(own, fitted)
        if mine.circuit in SCALED
    ]


def lambda_notes(
    own: Sequence[Any], fitted: Sequence[Any], base_ethanol: Any, density: Any, ratio: Any
) -> dict[str, Any]:
    """The computed bore beside what is there, and what cannot be judged."""
    base = ethanol_blend(base_ethanol)
    wanted = jet_area_ratio(base.ratio, base.density, ratio, density)
    notes = [f"the fuel wants {wanted:.3f} times the area of the base set (diameter times {wanted**0.5:.3f})"]
    for mine, there in in_place(own, fitted):
        if mine.circuit not in SCALED:
            continue
        start = (there.rod**2 + wanted * (mine.bore**2 - mine.rod**2)) ** 0.5
        notes.append(f"{mine.id}: {there.bore * 1e3:.2f} mm is in, {start * 1e3:.2f} mm is computed")
    notes += [f"{name}: the carburettor has no such passage" for name in unknown_to(own, fitted)]
    notes.append("inside the window only a wideband reading or the plugs decide")
    return {"notes": notes}


def seat_bores(own: Sequence[Any], fitted: Sequence[Any]) -> list[Any]:
    """Bores of the needle seats that are in; ValueError where the carburettor names none."""
    bores = [there.bore for mine, there in in_place(own, fitted) if mine.circuit == "needle_seat"]
    if not bores:
        raise ValueError("the carburettor's passages name no needle seat")
    return bores
