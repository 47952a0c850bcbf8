"""One carburettor, two fuels: from the set that runs right on one, the set to start with on the other.

The area of every fuel passage follows from the air that each fuel needs and from its density (`jet_area_ratio`). The
published rules of thumb for petrol and E85 ask for less; they stand beside it as the lean end of the window. Inside the
window the answer is "start here, confirm by wideband or plugs": no computation decides more than that.

SI: bores in m, volumes in m3, ethanol by volume as a share. No I/O; nothing here knows of parts or builds.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.errors import Fault, unknown
from kb.standards.fuels import Fuel, jet_area_ratio, mass_ratio, volume_ratio

FUEL_CIRCUITS = ("main_jet", "idle_jet", "power_restriction", "accelerator_nozzle", "needle_seat")
"""Passages that fuel alone flows through: they scale by area."""
CIRCUITS: dict[str, str] = {
    "main_jet": "main jet, or jet and metering rod",
    "idle_jet": "idle and transfer feed",
    "power_restriction": "restriction behind the power valve",
    "accelerator_nozzle": "nozzle of the accelerator pump",
    "needle_seat": "seat of the float needle",
    "air_bleed": "air bleed, main or idle",
}

THUMB_E85 = (1.20, 1.30)
"""Area for E85 over that for petrol by published rules of thumb. Source: trade pages; what they count is not said."""
THUMB_ETHANOL = 0.85

_WITHOUT_ROD = 0.0
STEP = 0.05e-3
"""Step between jets where no list of sizes is given: 0.05 mm, common practice, no source."""


class Passage(NamedTuple):
    """One calibrated hole. circuit: a key of CIRCUITS. bore, and the rod that stands in it (0 for none), in m."""

    name: str
    circuit: str
    bore: Any
    rod: Any = _WITHOUT_ROD


class Calibration(NamedTuple):
    """A set that runs right on one fuel. shot: what the accelerator pump gives at one stroke, m3, 0 if not known."""

    passages: tuple[Passage, ...]
    shot: float = 0.0


class Ratios(NamedTuple):
    """Second fuel over first, at the same air and lambda. thumb: area by the published rules, None off ethanol."""

    mass: Any
    volume: Any
    area: Any
    diameter: Any
    thumb: tuple[Any, Any] | None


class Change(NamedTuple):
    """One passage on the way to the second fuel; bores in m.

    start: the computed bore. lean, rich: the ends of the window. buy: sizes to carry, of the list given or in steps.
    keep: nothing changes to begin with.
    """

    name: str
    circuit: str
    now: Any
    start: Any
    lean: Any
    rich: Any
    buy: tuple[float, ...]
    keep: bool
    why: str


class Swap(NamedTuple):
    """What it takes to go from one fuel to the other. Texts are sentences; order and back are steps in order."""

    first: Fuel
    second: Fuel
    ratios: Ratios
    changes: tuple[Change, ...]
    shot: tuple[float, float]
    kit: tuple[str, ...]
    order: tuple[str, ...]
    back: tuple[str, ...]
    only_wideband: tuple[str, ...]
    wrong_way: tuple[tuple[str, Any], ...]
    caution: str


CAUTION = (
    "Fuel burns: outdoors, extinguisher at hand, no flame, no sparks, battery disconnected while a line is open, fuel "
    "caught in a metal can. Lean under load melts pistons: the first runs are short, rich and at light load."
)


def annulus(bore: Any, rod: Any = _WITHOUT_ROD) -> Any:
    """Open area, m2, of a jet with a metering rod in it."""
    return math.pi / 4 * (bore**2 - rod**2)


def scaled_bore(bore: Any, area_ratio: Any, rod: Any = _WITHOUT_ROD) -> Any:
    """Bore, m, with `area_ratio` times the open area of `bore`, the rod staying: sqrt(rod^2 + r (bore^2 - rod^2))."""
    return (rod**2 + area_ratio * (bore**2 - rod**2)) ** 0.5


def scaled_rod(bore: float, rod: float, area_ratio: float) -> float | None:
    """The rod, m, that gives the same change of area with the jet staying; None where even no rod is not enough."""
    left = bore**2 - area_ratio * (bore**2 - rod**2)
    return left**0.5 if left >= 0 else None


def thumb_band(first_ethanol: Any, second_ethanol: Any) -> tuple[Any, Any]:
    """Area ratio by the published rules of thumb, low and high: 1.2 to 1.3 from petrol to E85, scaled by the ethanol.

    The scaling for other shares, and the division on the way back, are ours: the pages speak of E85 only.
    """
    low, high = (
        (1 + (factor - 1) * second_ethanol / THUMB_ETHANOL) / (1 + (factor - 1) * first_ethanol / THUMB_ETHANOL)
        for factor in THUMB_E85
    )
    return (low, high) if second_ethanol >= first_ethanol else (high, low)


def ratios(first: Fuel, second: Fuel) -> Ratios:
    """Mass, volume, jet area and jet diameter of the second fuel over the first."""
    area = jet_area_ratio(first.ratio, first.density, second.ratio, second.density)
    known = _is_petrol_and_ethanol(first) and _is_petrol_and_ethanol(second)
    return Ratios(
        mass_ratio(first.ratio, second.ratio),
        volume_ratio(first.ratio, first.density, second.ratio, second.density),
        area,
        area**0.5,
        thumb_band(first.ethanol, second.ethanol) if known else None,
    )


def _is_petrol_and_ethanol(fuel: Fuel) -> bool:
    return fuel.ethanol > 0.001 or fuel.name.startswith(("petrol", "ethanol"))


def lambda_factor(jetted_for: Fuel, filled_with: Fuel) -> Any:
    """Lambda with one fuel on jets that are right for another, over what it was: above 1 is lean.

    Equal to the jet area ratio that was not fitted: E85 on petrol jets is lean, petrol on E85 jets is rich.
    """
    return jet_area_ratio(jetted_for.ratio, jetted_for.density, filled_with.ratio, filled_with.density)


def fitted_lambda(area_ratio: Any, base_area: Any, fitted_area: Any) -> Any:
    """Lambda of a fitted passage over that of the base set: the area that is needed over the area that is there."""
    return area_ratio * base_area / fitted_area


def sizes_to_carry(lean: float, rich: float, ladder: Sequence[float] = ()) -> tuple[float, ...]:
    """The sizes, m, from the last at or below the lean end to the first at or above the rich end.

    `ladder` lists the sizes that can be had; without it, steps of 0.05 mm. Where the list ends short, what it has.
    """
    if not ladder:
        first, last = math.floor(lean / STEP + 1e-6), math.ceil(rich / STEP - 1e-6)
        return tuple(round(step * STEP, 9) for step in range(first, last + 1))
    sizes = sorted(ladder)
    below = [size for size in sizes if size <= lean + 1e-9]
    above = [size for size in sizes if size >= rich - 1e-9]
    low = below[-1] if below else sizes[0]
    high = above[0] if above else sizes[-1]
    return tuple(size for size in sizes if low <= size <= high)


JET_NUMBERS: dict[str, float] = {"hundredths of a millimetre": 1e-5, "thousandths of an inch": 2.54e-5}
"""What a jet's number may mean, m for one. Many makers' numbers are neither: then only a table or a pin gauge tells."""


def jet_bore(number: float, numbering: str) -> float:
    """Bore, m, of a numbered jet, where the number is a size; UnknownName for another numbering."""
    if numbering not in JET_NUMBERS:
        raise unknown("numbering of jets", numbering, JET_NUMBERS)
    return number * JET_NUMBERS[numbering]


def jet_number(bore: float, table: Iterable[tuple[str, float]]) -> tuple[str, float]:
    """The jet of a maker's table (number, bore in m) nearest to `bore` and not smaller, else the largest."""
    rows = sorted(table, key=lambda row: row[1])
    if not rows:
        raise Fault("the table of jets is empty", step="give numbers with their bores")
    return next((row for row in rows if row[1] >= bore - 1e-9), rows[-1])


def swap(calibration: Calibration, first: Fuel, second: Fuel, ladder: Sequence[float] = ()) -> Swap:
    """What to change, carry and do to go from a calibration on the `first` fuel to the `second`, and back.

    `ladder` lists the jet bores, m, that can be had. Faults: an unknown circuit, a bore of zero or less, a rod as thick
    as its jet.
    """
    of = ratios(first, second)
    changes = tuple(_change(passage, of, ladder) for passage in calibration.passages)
    return Swap(
        first,
        second,
        of,
        changes,
        (calibration.shot, calibration.shot * of.volume),
        _kit(changes, first, second, of),
        _order(first, second),
        _back(first, second),
        ONLY_WIDEBAND,
        (
            (f"{second.name} on the set for {first.name}", lambda_factor(first, second)),
            (f"{first.name} on the set for {second.name}", lambda_factor(second, first)),
        ),
        CAUTION,
    )


def _change(passage: Passage, of: Ratios, ladder: Sequence[float]) -> Change:
    name, circuit, bore, rod = passage
    if circuit not in CIRCUITS:
        raise unknown("circuit", circuit, CIRCUITS, place=name)
    if not bore > 0 or not 0 <= rod < bore:
        raise Fault(f"{name}: no open area is left", step="give the bore in metres, and a rod thinner than it")
    if circuit == "air_bleed":
        # Over a wetter well the bleed would have to grow with the volume to keep the emulsion as airy as it was.
        other = scaled_bore(bore, of.volume)
        low, high = (bore, other) if of.volume >= 1 else (other, bore)
        why = "left alone to begin with; a larger one leans the top end and starts the main circuit later"
        return Change(name, circuit, bore, bore, high, low, (), True, why)
    start = scaled_bore(bore, of.area, rod)
    ends = [of.area, *(of.thumb or ())]
    lean, rich = scaled_bore(bore, min(ends), rod), scaled_bore(bore, max(ends), rod)
    if circuit == "needle_seat":
        lean = start  # a seat has to pass the flow; no rule of thumb makes that less
        rich = start
    why = (
        "flow: the bowl must fill as fast as it empties; a larger seat lifts its needle at less pressure"
        if circuit == "needle_seat"
        else "area by the air that each fuel needs and the root of the densities"
    )
    return Change(name, circuit, bore, start, lean, rich, sizes_to_carry(lean, rich, ladder), False, why)


def _kit(changes: Iterable[Change], first: Fuel, second: Fuel, of: Ratios) -> tuple[str, ...]:
    kit = [
        f"{change.name}: "
        + ", ".join(f"{size * 1e3:.2f} mm" for size in change.buy)
        + f" (now {change.now * 1e3:.2f} mm)"
        for change in changes
        if change.buy
    ]
    if of.volume > 1.02:
        kit.append(f"pump, lines and needle seats for {of.volume:.2f} times the volume")
    if second.ethanol > first.ethanol + 0.1:
        kit += ["spare fuel filters: ethanol frees old deposits", "seals, float and hose that stand ethanol"]
    kit += [
        "bowl gaskets",
        f"the jets for {first.name}, labelled, for the way back",
        "graduated tube and water for the shake test of the ethanol content",
        "jet driver, pin gauges, wideband or fresh plugs",
    ]
    return tuple(kit)


def _order(first: Fuel, second: Fuel) -> tuple[str, ...]:
    richer = second.ratio < first.ratio
    steps = [
        f"Prove what is in the can: shake test for ethanol, label it {second.name}.",
        "Check hoses, seals, float and gaskets against the new fuel before any of it goes in.",
        f"Run the tank low on {first.name}; catch the rest in a bonded metal can outdoors.",
        "Pump and pressure first: timed catch at the running pressure and voltage against the new demand.",
        "Empty the bowls; change seats, main jets, power restrictions, idle feeds and accelerator nozzle as one set.",
        "Set the float level again: a float sits higher in denser fuel.",
        f"Fill with {second.name}; pressurise for two minutes with the ignition off and look for wet joints.",
        "Start, set the idle mixture, and only then load the engine, a little at a time.",
    ]
    if richer:
        steps.insert(5, "Never let the new fuel meet the old jets under load: it would run lean.")
        steps.append("Change the filter after the first tank, and carry another.")
    else:
        steps.insert(
            5, f"What is left of {first.name} in lines and filter leans the first minutes: no load until it is gone."
        )
    return tuple(steps)


def _back(first: Fuel, second: Fuel) -> tuple[str, ...]:
    steps = [
        f"Run the tank low on {second.name} and drain it: a mixture of both is jetted for by neither set.",
        "Empty bowls, lines and filter.",
        f"Put the labelled set for {first.name} back whole: jets, restrictions, idle feeds, nozzle, seats.",
        "Set float level and idle again; put the ignition advance back to what that fuel stands.",
    ]
    if second.ratio < first.ratio:
        steps.append(f"{first.name} on the jets for {second.name} runs rich: it soots plugs and washes the bores.")
    else:
        steps.append(
            f"{first.name} on the jets for {second.name} runs lean: do not load the engine before the set is in."
        )
    return tuple(steps)


ONLY_WIDEBAND = (
    "the mixture at full load, power circuit open: inside the window only a wideband reading or the plugs decide",
    "idle and transfer: screws and bleeds move them more than the jets do",
    "the accelerator pump's shot: rise of lambda at a sudden opening",
    "air bleeds: left alone until the readings at both ends of the speed range ask for one",
    "what the pump sold as E85: 51 to 83 % ethanol, so another tank may want another set",
    "ignition advance: not a matter of mixture at all, and not to be moved at the same time",
)
