"""The pan's flange under a straight edge, reading by reading along the rail."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

from kb.standards.seating_flatness import Edge, edges


class At:
    """A station or a reading for worked cases."""

    def __init__(self, id: str, x: float = 0.0, y: float = 0.0, height: float = 0.0, face: str = "rail") -> None:
        self.id, self.x, self.y, self.height, self.face = id, x, y, height, face


def _laid(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[tuple[str, Edge, bool]]:
    """(station, straight edge over it, whether it reaches just to the neighbours); the covers' steps are left out.

    The path is closed: where the list of stations begins means nothing. ValueError where no edge can be laid.
    """
    rail = [each for each in block_side if each.face == "rail"]
    heights = {each.id: each.height for each in pan_side}
    points = [(each.x, each.y, heights[each.id]) for each in rail]
    count = len(points)
    laid = edges(points) if points else []
    if not laid:
        raise ValueError("no straight run of the rail has three stations to lay a straight edge along")
    return [(rail[each.middle].id, each, (each.end - each.start) % count == 2) for each in laid]


def waviness(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[tuple[str, float]]:
    """(station, deviation from a straight edge over it per length of the edge in m/m), proud positive; every edge."""
    return [(name, edge.deviation / edge.length) for name, edge, _ in _laid(block_side, pan_side)]


def local_bow(block_side: Sequence[Any], pan_side: Sequence[Any]) -> list[tuple[str, float]]:
    """(station, its height in m off the straight line between its neighbours), proud positive."""
    return [(name, edge.deviation) for name, edge, beside in _laid(block_side, pan_side) if beside]


def waviness_near(block_side: Sequence[Any], pan_side: Sequence[Any]) -> Callable[..., list[tuple[str, float]]]:
    """Near these readings: `waviness` along the edges that are laid here, from other heights.

    Exact while the stations' places stay as they are; where a place moves, the edges are laid anew.
    """
    places = [(each.id, each.x, each.y) for each in block_side if each.face == "rail"]
    laid = [
        (name, places[edge.start][0], places[edge.end][0], edge.share, edge.length)
        for name, edge, _ in _laid(block_side, pan_side)
    ]

    def near(block_now: Sequence[Any], pan_now: Sequence[Any]) -> list[tuple[str, float]]:
        if [(each.id, each.x, each.y) for each in block_now if each.face == "rail"] != places:
            return waviness(block_now, pan_now)
        found = {each.id: each.height for each in pan_now}
        return [
            (name, (found[name] - (1.0 - share) * found[first] - share * found[last]) / length)
            for name, first, last, share, length in laid
        ]

    return near
