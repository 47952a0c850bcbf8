"""High points of the coolant and where their vents end."""

from __future__ import annotations

from typing import Any

WAYS_OUT = ("tank", "radiator_top")


class Point:
    """A high point and where its vent leads, for worked cases."""

    def __init__(self, leads: str, id: str = "here") -> None:
        self.leads, self.id = leads, id


def dead_ends(points: Any) -> list[Any]:
    """Those from which gas cannot leave."""
    way_out = any(each.leads in WAYS_OUT for each in points)
    return [each for each in points if each.leads == "nothing" or (each.leads == "crossover" and not way_out)]
