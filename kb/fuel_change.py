"""`matchmark fuel BUILD`: from a calibration on one fuel to the starting set for another, the kit, and the way back."""

from __future__ import annotations

from typing import Any

from kb import units
from kb.build import Build
from kb.errors import Fault
from kb.measure import Dimension
from kb.standards.fuels import Fuel, ethanol_blend
from kb.standards.two_fuels import Calibration, Change, Passage, Swap, swap


def fuel_change(build: Build, to: str = "second_fuel") -> Swap:
    """The change from the fuel that the carburettor's own set is right for to the fuel in the role `to`.

    Fault if the build has no carburettor, no such fuel, or does not say what the computation needs.
    """
    carburettor = build.parts.get("carburettor")
    if carburettor is None:
        raise Fault("no carburettor in this build", place=build.id, step="name one too: carburettor=...")
    wanted = build.parts.get(to)
    if wanted is None:
        raise Fault(f"no {to.replace('_', ' ')} in this build", place=build.id, step=f"name one too: {to}=...")
    first = _blend(carburettor.facts.get("base_ethanol"), f"{carburettor.id}.base_ethanol", "the base fuel")
    second = _blend(wanted.facts.get("ethanol"), f"{wanted.id}.ethanol", wanted.name or wanted.id)
    return swap(_calibration(carburettor.id, carburettor.facts), first, second)


def _blend(ethanol: Any, place: str, name: str) -> Fuel:
    if not isinstance(ethanol, Dimension):
        raise Fault("its ethanol is not recorded", place=place, step="shake test, then load the reading")
    return ethanol_blend(ethanol.value, name=name)


def _calibration(id: str, facts: dict[str, Any]) -> Calibration:
    passages = []
    for each in facts.get("passages") or ():
        bore = each.get("bore")
        if not isinstance(bore, Dimension) or not each.get("circuit"):
            step = "read it with a pin gauge and load the reading"
            raise Fault("its bore or circuit is not recorded", place=f"{id}.passages.{each['id']}", step=step)
        rod = each.get("rod")
        passages.append(
            Passage(each["id"], each["circuit"], bore.value, rod.value if isinstance(rod, Dimension) else 0.0)
        )
    if not passages:
        raise Fault("none of its jets is recorded", place=f"{id}.passages", step="fill in: matchmark blank carburettor")
    shot = facts.get("shot")
    return Calibration(tuple(passages), shot.value if isinstance(shot, Dimension) else 0.0)


def as_lines(found: Swap, system: str = "mm") -> list[str]:
    """The change in sentences, one a line; a caller wraps them."""
    of = found.ratios
    lines = [
        f"From {found.first.name} ({100 * found.first.ethanol:.0f} % ethanol) to {found.second.name} "
        f"({100 * found.second.ethanol:.0f} % ethanol)",
        "",
        f"The second fuel wants {of.mass:.2f} times the mass and {of.volume:.2f} times the volume for the same air; "
        f"jets {of.area:.2f} times the area, {of.diameter:.3f} times the diameter.",
    ]
    if of.thumb:
        low, high = of.thumb
        lines.append(f"Published rules of thumb say {low:.2f} to {high:.2f} times the area: start inside, confirm.")
    lines += ["", "Start with, and carry:"]
    lines += [f"  {_change_words(each, system)}" for each in found.changes]
    if found.shot[0]:
        now, then = (units.show(each, "volume", system) for each in found.shot)
        lines.append(f"  accelerator pump: {now} a stroke now, {then} to start with")
    for title, items in (
        ("Kit to carry:", found.kit),
        ("Order of the change:", found.order),
        ("The way back:", found.back),
        ("Only a wideband reading (or the plugs) can decide:", found.only_wideband),
    ):
        lines += ["", title, *(f"  {number}. {each}" for number, each in enumerate(items, 1))]
    lines += ["", "On the wrong set:", *(f"  {words}: lambda {factor:.2f}" for words, factor in found.wrong_way)]
    return [*lines, "", found.caution]


def _change_words(change: Change, system: str) -> str:
    def show(value: float) -> str:
        return units.show(value, "length", system, digits=2 if system == "mm" else None)

    head = f"{change.name} ({change.circuit.replace('_', ' ')}): {show(change.now)} now"
    if change.keep:
        return f"{head}, stays to begin with: {change.why}"
    carry = f"; carry {', '.join(show(each) for each in change.buy)}" if change.buy else ""
    why = f" ({change.why})" if change.why else ""
    return f"{head}, start at {show(change.start)}, between {show(change.lean)} and {show(change.rich)}{carry}{why}"
