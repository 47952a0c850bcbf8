"""Bolt pitch along the flange."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from kb.rules.sealing._ports import closed_passages


class At:
    """A station for worked cases."""

    def __init__(self, x: float, y: float, bolt: bool = True, passage: str = "") -> None:
        self.x, self.y, self.bolt, self.passage = x, y, bolt, passage
        self.id = f"{x},{y}"


def pitches(stations: Sequence[Any]) -> list[tuple[float, list[Any]]]:
    """(length in m, stations from bolt to bolt) of every piece of the closed flange between neighbouring bolts.

    From a lone bolt the piece leads all the way round to itself. ValueError without any bolt.
    """
    bolts = [index for index, each in enumerate(stations) if each.bolt]
    if not bolts:
        raise ValueError("no station of the joint is marked as a bolt: name those that are")
    if all((each.x, each.y) == (stations[0].x, stations[0].y) for each in stations):
        raise ValueError("the stations of the joint lie in one place: give each its x and y")
    found = []
    for here, there in zip(bolts, [*bolts[1:], bolts[0] + len(stations)], strict=True):
        path = [stations[index % len(stations)] for index in range(here, there + 1)]
        way = sum(((b.x - a.x) ** 2 + (b.y - a.y) ** 2) ** 0.5 for a, b in pairwise(path))
        found.append((way, path))
    return found


def longest_pitch(stations: Sequence[Any]) -> tuple[float, str]:
    """(length in m, "R3 to R4") of the longest piece between neighbouring bolts."""
    named = [(way, f"{path[0].id} to {path[-1].id}") for way, path in pitches(stations)]
    return max(named, default=(0.0, ""))


def passage_pitch(stations: Sequence[Any], ports: Sequence[Any] = ()) -> float:
    """Length (m) of the longest piece between neighbouring bolts that holds an open oil passage; 0 without any."""
    closed = closed_passages(ports)
    return max(
        (way for way, path in pitches(stations) if any(each.passage and each.passage not in closed for each in path)),
        default=0.0,
    )
