"""How the gaps of a seated flange move when a reading is a little off: the seat's own stiffness, solved once.

A check wants the slope of every gap to some fifty readings. As long as no station changes between open, spring and
stop, the seat is linear, so one influence matrix gives them all for the price of a few seats.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from kb.standards.seating_frame import frame, solve_frame
from kb.standards.seating_rigid import Station, laws_of


class Tangent(NamedTuple):
    """The seat near one set of stations.

    heights: the flange's height z at each station (m); stop: stiffness of a stop (N/m); influence[j][i]: move of the
    flange at station i per newton at station j (m/N).
    """

    stations: tuple[Station, ...]
    heights: tuple[float, ...]
    stop: float
    influence: tuple[tuple[float, ...], ...]

    def gaps(self, changed: Sequence[Station]) -> list[float]:
        """Gaps (m) when the stations are these instead, every station keeping its state; places must be the same."""
        heights = list(self.heights)
        for index, (old, new) in enumerate(zip(self.stations, changed, strict=True)):
            if new == old:
                continue
            extra = _force(new, old, self.heights[index], self.stop) - _force(old, old, self.heights[index], self.stop)
            if extra:
                heights = [here + extra * move for here, move in zip(heights, self.influence[index], strict=True)]
        return [max(here - new.block - new.pan, new.stop) for here, new in zip(heights, changed, strict=True)]


def _force(station: Station, state: Station, height: float, stop: float) -> float:
    """Force (N) on the flange at this height, on the spring or stop that it stands on in `state`."""
    base = state.block + state.pan
    force = -station.load
    if height < base + state.free:
        force += station.stiffness * (station.block + station.pan + station.free - height)
    if height < base + state.stop:
        force += stop * (station.block + station.pan + station.stop - height)
    return force


def tangent(
    stations: Sequence[Station], gaps: Sequence[float], forces: Sequence[float], stiffness_ei: float
) -> Tangent | None:
    """The tangent of a seat that has these gaps (m) and forces (N); None where the flange is no frame that can bend.

    stiffness_ei (N.m2), as for `flange_seat`, whose result gives gaps and forces.
    """
    body = frame(tuple((s.x, s.y) for s in stations), stiffness_ei, stiffness_ei, True)
    if body is None:
        return None
    laws = laws_of(stations)
    damp = 1e-9 * (sum(law.spring for law in laws) or 1.0) / len(laws)
    heights, springs = [], []
    for station, law, gap, force in zip(stations, laws, gaps, forces, strict=True):
        # A station on its stop is pressed into it by a nanometre at most; its own force tells which state it is in.
        height = station.block + station.pan + gap
        on_stop = gap <= station.stop and force > law.spring * (station.free - station.stop)
        heights.append(height - 1e-12 if on_stop else height)
        springs.append(damp + (law.spring if height < law.spring_at else 0.0) + (law.stop if on_stop else 0.0))
    count = max(body.node) + 1
    under = [0.0] * count
    for node, spring in zip(body.node, springs, strict=True):
        under[node] += spring
    columns: dict[int, tuple[float, ...]] = {}
    for node in set(body.node):
        unit = [0.0] * count
        unit[node] = 1.0
        moved = solve_frame(body, under, unit)
        columns[node] = tuple(moved[each] for each in body.node)
    return Tangent(tuple(stations), tuple(heights), laws[0].stop, tuple(columns[node] for node in body.node))
