"""The pan joint as stations: the block's face, the pan's flange, the gasket between, the bolts that pull."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

from kb.rules.sealing._ports import closed_passages
from kb.standards.gaskets import preload_from_torque, rectangle_inertia
from kb.standards.geometry import convex_hull
from kb.standards.seating import FlangeResult, flange_seat
from kb.standards.seating_rigid import Station
from kb.standards.seating_tangent import Tangent, tangent

NO_CLAMP = -1.0  # squeeze counted where no bolts hold the flange down around a station


def stations_of(
    block_side: Sequence[Any],
    pan_side: Sequence[Any],
    front_step: float,
    rear_step: float,
    free: float,
    stop: float,
    modulus: float,
    seal_width: float,
    load: float,
) -> tuple[Station, ...]:
    """Stations for the seating computation, in order around the flange.

    block_side: entries with id, x, y, face, bolt, passage, height; pan_side: entries with id, height. The steps of the
    covers are added to the heights of their own stations. The gasket's spring at a station is its modulus times the
    area that belongs to the station (width x half the way to both neighbours) over its free thickness. ValueError for
    stations that enclose nothing.
    """
    if not _encloses(tuple((float(each.x), float(each.y)) for each in block_side)):
        raise ValueError("the stations of the joint enclose nothing: give the places all the way round, at least three")
    heights = {each.id: each.height for each in pan_side}
    step = {"rail": 0.0, "front_cover": front_step, "rear_cover": rear_step}
    count = len(block_side)
    made = []
    for index, each in enumerate(block_side):
        before, after = block_side[index - 1], block_side[(index + 1) % count]
        reach = (_distance(each, before) + _distance(each, after)) / 2
        made.append(
            Station(
                id=each.id,
                x=each.x,
                y=each.y,
                block=each.height + step[each.face],
                pan=heights[each.id],
                free=free,
                stop=stop,
                stiffness=modulus * seal_width * reach / free,
                load=load if each.bolt else 0.0,
                passage=each.passage,
                face=each.face,
            )
        )
    return tuple(made)


@lru_cache(maxsize=64)
def _encloses(places: tuple[tuple[float, float], ...]) -> bool:
    """Whether the places (x, y) are not all in one point or one line, to a thousandth of their reach."""
    corners = convex_hull(places)
    if len(corners) < 3:
        return False
    (x0, y0), *others = corners
    doubled = sum((a[0] - x0) * (b[1] - y0) - (b[0] - x0) * (a[1] - y0) for a, b in pairwise(others))
    return bool(doubled > 1e-3 * max((x - x0) ** 2 + (y - y0) ** 2 for x, y in others))


def _distance(one: Any, other: Any) -> float:
    return float(((one.x - other.x) ** 2 + (one.y - other.y) ** 2) ** 0.5)


@lru_cache(maxsize=4096)
def seat(stations: tuple[Station, ...], stiffness_ei: float) -> FlangeResult:
    """The seated flange; several rules ask for the same one."""
    return flange_seat(stations, stiffness_ei=stiffness_ei)


@lru_cache(maxsize=64)
def near(stations: tuple[Station, ...], stiffness_ei: float) -> Tangent | None:
    """The tangent of the seated flange."""
    found = seat(stations, stiffness_ei).stations
    return tangent(stations, [each.gap for each in found], [each.force for each in found], stiffness_ei)


class Joint:
    """The arguments that every sealing rule shares, turned into stations and a seat."""

    def __init__(
        self, block_side: Any, pan_side: Any, front_step: Any, rear_step: Any, free: Any, stop: Any, modulus: Any,
        seal_width: Any, torque: Any, nut_factor: Any, diameter: Any, flange_modulus: Any, flange_width: Any,
        flange_thickness: Any, ports: Sequence[Any] = (),
    ) -> None:  # fmt: skip
        self.closed = closed_passages(ports)
        load = preload_from_torque(torque, diameter, nut_factor)
        self.ei = flange_modulus * rectangle_inertia(flange_width, flange_thickness)
        self.free, self.stop = free, stop
        self.stations = stations_of(block_side, pan_side, front_step, rear_step, free, stop, modulus, seal_width, load)

    @property
    def bottomed(self) -> bool:
        """The stop is as thick as the free gasket: nothing is squeezed anywhere."""
        return bool(self.stop >= self.free)

    @property
    def result(self) -> FlangeResult:
        return seat(self.stations, self.ei)

    def judged(self, station: Station, passages: bool) -> bool:
        """Whether the station rings a passage that oil crosses at, or with passages=False is plain rail."""
        return bool(station.passage) == passages and station.passage not in self.closed

    def squeezes(self, passages: bool) -> list[tuple[str, float]]:
        """(station, squeeze) of the stations that ring an open passage, or of the plain rail."""
        if self.bottomed:
            squeeze = (self.free - self.stop) / self.free
            return [(each.id, squeeze) for each in self.stations if self.judged(each, passages)]
        return [
            (each.id, each.squeeze if each.clamped or not station.passage else NO_CLAMP)
            for station, each in zip(self.stations, self.result.stations, strict=True)
            if self.judged(station, passages)
        ]

    def squeezes_near(self, passages: bool) -> Callable[..., list[tuple[str, float]]]:
        """A function of the same arguments as Joint that gives the squeezes to first order about this joint."""
        model = None if self.bottomed else near(self.stations, self.ei)

        def squeezes(*given: Any) -> list[tuple[str, float]]:
            other = Joint(*given)
            if model is None or other.bottomed or other.ei != self.ei:
                return other.squeezes(passages)
            gaps = model.gaps(other.stations)
            return [
                (each.id, (station.free - gap) / station.free if each.clamped or not station.passage else NO_CLAMP)
                for station, each, gap in zip(other.stations, self.result.stations, gaps, strict=True)
                if self.judged(station, passages)
            ]

        return squeezes
