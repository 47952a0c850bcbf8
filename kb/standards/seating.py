"""How an oil pan's flange seats on the block rail and the covers, and what squeeze its gasket gets where.

The question behind it: a swapped pan bolts up, and yet one oil passage is left unclamped. Which, and by how much?

1. `bare_seat`: the lowest plane at the bolts' load centroid with no gap below zero (a linear programme).
2. `gasket_seat`: the gasket as springs with a hard stop under each; least energy
   E = sum k/2 max(0, free - g)^2 + sum F z(bolt) with g >= stop (a convex programme).
3. `flange_seat`: the same energy plus that of the flange as an elastic frame (seating_frame.py), so that bolts pull
   it down between high stations and springs push it up between bolts. With EI without end it is the rigid seat
   of 2; equal bolts on an even bed give the beam on elastic foundation [Hetenyi].
4. `clamped`: a passage beyond the polygon of the loaded bolts is pressed by nothing that can be relied on.

Axes and signs stand in seating_rigid.py, what to do about a leak in seating_remedies.py.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from kb.standards.seating_frame import Frame, frame, solve_frame
from kb.standards.seating_rigid import (
    TOUCH,
    Seat,
    Station,
    bare_seat,
    gasket_seat,
    laws_of,
    reactions,
    settle,
)

__all__ = [
    "FlangeResult",
    "Sealing",
    "Seat",
    "Station",
    "StationResult",
    "bare_seat",
    "bolt_polygon",
    "bolt_reach",
    "flange_seat",
    "gasket_seat",
    "outside",
    "sealing",
]

RIGID_EI = 1e9  # N.m2: stiffer than any flange by four powers of ten, and bends by less than a micrometre
PLACE_SLACK = 1e-3  # m: error of a station's place read off the gasket; common practice, no published source


class StationResult(NamedTuple):
    """One station after the flange has bent (m, N).

    `gap_rigid`: under the stiff flange; `closable`: what the bolts here could draw in between their neighbours
    (bolt_reach); `gap`: what is left for the gasket; `squeeze` = (free - gap)/free; `counted`: that squeeze, but at
    most 0 where a passage is not `clamped`; `outside`: distance beyond the clamped polygon, negative inside;
    `force`: gasket plus stop.
    """

    id: str
    gap_rigid: float
    closable: float
    gap: float
    squeeze: float
    counted: float
    clamped: bool
    outside: float
    force: float


class FlangeResult(NamedTuple):
    """The flange in place: results by station, the rigid seat that it bends from, Newton steps."""

    stations: tuple[StationResult, ...]
    rigid: Seat
    iterations: int


class Sealing(NamedTuple):
    """Which stations seal. `missing` (m): how much too low the free gasket is for the squeeze wanted at that gap.

    `worst_passage` and `worst_rail` are the stations with the least counted squeeze, None where there is none.
    """

    sealed: tuple[bool, ...]
    missing: tuple[float, ...]
    worst_passage: int | None
    worst_rail: int | None


def bolt_polygon(stations: Sequence[Station]) -> tuple[tuple[float, float], ...]:
    """Corners (m), counter-clockwise, of the convex hull of the stations that carry a bolt's load."""
    spots = sorted({(s.x, s.y) for s in stations if s.load > 0.0})
    if len(spots) < 3:
        return tuple(spots)

    def half(run: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
        hull: list[tuple[float, float]] = []
        for x, y in run:
            while len(hull) >= 2:
                (ax, ay), (bx, by) = hull[-2], hull[-1]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                    break
                hull.pop()
            hull.append((x, y))
        return hull[:-1]

    return tuple(half(spots) + half(spots[::-1]))


def outside(x: float, y: float, polygon: Sequence[tuple[float, float]]) -> float:
    """Distance (m) of (x, y) beyond a convex counter-clockwise polygon, negative inside it; inf without corners.

    Of two corners or one, the distance from their line or point.
    """
    if not polygon:
        return math.inf
    nearest, inside = math.inf, len(polygon) > 2
    for (ax, ay), (bx, by) in zip(polygon, [*polygon[1:], polygon[0]], strict=True):
        ux, uy, px, py = bx - ax, by - ay, x - ax, y - ay
        size = ux * ux + uy * uy
        share = min(max((px * ux + py * uy) / size, 0.0), 1.0) if size > 0.0 else 0.0
        nearest = min(nearest, math.hypot(px - share * ux, py - share * uy))
        inside = inside and ux * py - uy * px >= 0.0
    return -nearest if inside else nearest


def bolt_reach(load: float, stiffness_ei: float, before: float, after: float) -> float:
    """How far (m) a bolt of clamp `load` (N) bends a flange of EI (N.m2) held at `before` and `after` (m) from it.

    Beam with both ends held level, F a^3 b^3 / (3 EI (a + b)^3) [Roark]: the cautious case, since a flange that may
    also turn at its neighbours gives up to four times as much. A hand figure beside the frame, not part of it.
    """
    if before <= 0.0 or after <= 0.0:
        return 0.0
    return load * (before * after / (before + after)) ** 3 / (3.0 * stiffness_ei)


def _reach(stations: Sequence[Station], stiffness_ei: float, closed: bool) -> tuple[list[float], list[bool]]:
    """Per station: the closable distance (between bolts: on the line from one to the next), and bolts on both sides.

    A bolt without a bolt on both sides closes nothing that this can vouch for.
    """
    count = len(stations)
    along = [0.0]
    for one, other in zip(stations, [*stations[1:], stations[0]], strict=True):
        along.append(along[-1] + math.hypot(other.x - one.x, other.y - one.y))
    around = along.pop()

    def path(i: int, j: int) -> float:
        return (along[j] - along[i]) % around if around > 0.0 else 0.0

    bolts = [i for i, s in enumerate(stations) if s.load > 0.0]
    turn = len(bolts)
    reach = [0.0] * count
    if closed and turn > 1:
        between = [True] * count
        spans = [(bolts[n], bolts[(n + 1) % turn]) for n in range(turn)]
    else:
        between = [bolts[0] <= i <= bolts[-1] for i in range(count)]
        spans = [(bolts[n], bolts[n + 1]) for n in range(turn - 1)]
    before = {j: path(i, j) for i, j in spans}
    after = {i: path(i, j) for i, j in spans}
    for i in before.keys() & after.keys():
        reach[i] = bolt_reach(stations[i].load, stiffness_ei, before[i], after[i])
    for i, j in spans:
        length = path(i, j)
        k = (i + 1) % count
        while k != j:
            share = path(i, k) / length if length > 0.0 else 0.0
            reach[k] = reach[i] + share * (reach[j] - reach[i])
            k = (k + 1) % count
    return reach, between


def flange_seat(
    stations: Sequence[Station],
    *,
    stiffness_ei: float,
    stiffness_gj: float | None = None,
    closed: bool = True,
    place_slack: float = PLACE_SLACK,
) -> FlangeResult:
    """The flange bolted up: rigid seat, then bent by bolts, springs and stops; stations in order around the flange.

    `stiffness_ei`: bending stiffness (N.m2) of the flange out of its plane, math.inf = rigid. `stiffness_gj`:
    torsional, by default as large: a flange strip twice to many times as wide as thick has 1.0 to 1.5 times EI
    [Roark, torsion of a rectangle], and the softer figure is the cautious one at corners. `closed`: the last station
    is followed by the first. `place_slack` (m): how far beyond the bolts' polygon a passage still counts as clamped.

    The bolts' loads are kept whatever the flange does. ValueError as for gasket_seat, for EI or GJ not above zero, and
    where bolts, springs and stops leave the flange free to rock.
    """
    gj = stiffness_ei if stiffness_gj is None else stiffness_gj
    if not (stiffness_ei > 0.0 and gj > 0.0):
        raise ValueError("the flange needs a bending and a torsional stiffness above zero")
    rigid = gasket_seat(stations)
    gaps, forces, steps = list(rigid.gaps), [f + r for f, r in zip(rigid.forces, rigid.stops, strict=True)], 0
    body = None
    if stiffness_ei < RIGID_EI:
        body = frame(tuple((s.x, s.y) for s in stations), stiffness_ei, min(gj, RIGID_EI), closed)
    if body is not None:
        a, b, c = rigid.plane
        z, steps = _bend(stations, body, [a + b * s.x + c * s.y for s in stations])
        wide = max(math.dist((s.x, s.y), (t.x, t.y)) for s in stations for t in stations)
        if not max(map(abs, z)) <= wide:  # nothing pushes back: no bolt, spring or stop says where it stands
            raise ValueError("the bolts named do not hold this flange in one place: it rocks")
        gaps, springs, stops = reactions(stations, z)
        forces = [f + r for f, r in zip(springs, stops, strict=True)]
    polygon = bolt_polygon(stations)
    reach, between = _reach(stations, stiffness_ei, closed)
    results = []
    for s, stiff, near, gap, force, held in zip(stations, rigid.gaps, reach, gaps, forces, between, strict=True):
        beyond = outside(s.x, s.y, polygon)
        clamped = held and beyond <= place_slack
        squeeze = (s.free - gap) / s.free
        counted = min(squeeze, 0.0) if s.passage and not clamped else squeeze
        results.append(StationResult(s.id, stiff, near, gap, squeeze, counted, clamped, beyond, force))
    return FlangeResult(tuple(results), rigid, steps)


def _bend(stations: Sequence[Station], body: Frame, start: list[float]) -> tuple[list[float], int]:
    """Heights (m) of the stations on the elastic frame, from a flat start."""
    node = body.node
    count = max(node) + 1
    first = [node.index(n) for n in range(count)]

    def solve(springs: list[float], forces: list[float]) -> list[float]:
        under, force = [0.0] * count, [0.0] * count
        for n, k, f in zip(node, springs, forces, strict=True):
            under[n] += k
            force[n] += f
        heights = solve_frame(body, under, force)
        return [heights[n] for n in node]

    stiffest = max(block[0] for block in body.own)
    return settle(laws_of(stations), [start[first[n]] for n in node], solve, flange=stiffest)


def sealing(stations: Sequence[Station], result: FlangeResult, *, squeeze_min: float) -> Sealing:
    """Which stations reach `squeeze_min` (0 to 1), how much free height is missing, and the worst stations.

    Only stations with a gasket (stiffness above zero) are judged; the others count as sealed and miss nothing.
    ValueError: `squeeze_min` not in [0, 1).
    """
    if not 0.0 <= squeeze_min < 1.0:
        raise ValueError("the least squeeze must be at least 0 and below 1")
    sealed, missing = [], []
    worst: dict[bool, int] = {}
    for i, (s, r) in enumerate(zip(stations, result.stations, strict=True)):
        judged = s.stiffness > 0.0
        need = r.gap / (1.0 - squeeze_min) - s.free
        sealed.append(not judged or ((not s.passage or r.clamped) and need <= TOUCH))
        missing.append(max(0.0, need) if judged else 0.0)
        held = worst.get(bool(s.passage))
        if judged and (held is None or r.counted < result.stations[held].counted):
            worst[bool(s.passage)] = i
    return Sealing(tuple(sealed), tuple(missing), worst.get(True), worst.get(False))
