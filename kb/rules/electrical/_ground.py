"""The way back as a network: the battery's return cable and every strap, cable and sheet between."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kb.standards.electric import Link, network_resistance, reached, widest_path
from kb.standards.wire import effective_area, resistance

SHEET = "sheet_metal"
# What must have a way back to the battery's - post, whatever the car.
NEEDED = ("engine", "body", "harness")
LOST = 12.0  # volts lost where nothing joins them: all that a battery under load has


class Strap:
    """A link for worked cases."""

    def __init__(
        self, one: str, other: str, size: str = "2 AWG", length: float = 0.5, joints: float = 0.0002, id: str = ""
    ) -> None:
        self.one, self.other, self.size, self.length, self.joints = one, other, size, length, joints
        self.id = id or f"{one}-{other}"


def network(links: Sequence[Any], temperature: float) -> list[Link]:
    """The links with their resistance at this temperature; sheet metal is as thick as it is measured to be."""
    made = []
    for link in links:
        sheet = link.size == SHEET
        area = float("inf") if sheet else effective_area(link.size)
        copper = 0.0 if sheet else float(resistance(link.length, area, temperature))
        made.append(Link(link.id, link.one, link.other, copper + link.joints, area))
    return made


def with_return(links: Sequence[Link], lands_on: str, ohms: float, area: float) -> list[Link]:
    """The same, and the cable from the battery's - post."""
    return [Link("return cable", "battery", lands_on, ohms, area), *links]


def joined(links: Sequence[Any], lands_on: str) -> set[str]:
    """The places with a way to the battery."""
    plain = [Link(link.id, link.one, link.other, 0.0) for link in links]
    return reached(with_return(plain, lands_on, 0.0, 0.0), "battery")


def cut_off(links: Sequence[Any], lands_on: str) -> list[str]:
    """The places that need a way back to the battery and have none, also those that some link names."""
    there = joined(links, lands_on)
    named = [place for link in links for place in (link.one, link.other)]
    return [place for place in dict.fromkeys((*NEEDED, *named)) if place not in there]


def way_back(links: Sequence[Link]) -> float | None:
    """Resistance from engine to battery, ohm; None if there is no way."""
    return network_resistance(links, "engine", "battery")


def thickest_way(links: Sequence[Link]) -> list[Link]:
    """The chain of links from engine to battery whose thinnest is thickest."""
    return widest_path(links, "engine", "battery")
