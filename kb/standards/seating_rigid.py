"""The rigid flange on its seat: bare on its high points, and on a gasket's springs and stops.

Everything is measured from the rail plane, z away from the block. At station i (x, y) the block side stands
proud by `block` (a cover's step included) and the pan's flange by `pan`, both towards the other part. The pan's
flange plane lies at z(x, y) = a + b x + c y, and what is left for the gasket is g = z - block - pan >= 0.

A station's law (open, on its spring, on its stop) is piecewise linear and rising. `settle` finds the least energy
by Newton steps with an exact search along each, which ends in finitely many steps. It serves the elastic flange
(seating.py) as well. The stop is a spring so stiff that the whole clamp load gives it a nanometre.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

from kb.standards.seating_lp import solve_lp

TOUCH = 1e-9  # m: "inclusive, with a nanometre of slack"
_MOST_STEPS = 300
_FREE_STEPS = 8
_IN_LINE = 1e-12  # smaller to larger main moment of places that count as one line


class Station(NamedTuple):
    """One place of the flange, all SI. List stations in order around the flange.

    `block`, `pan`: heights (m), proud positive; `free`, `stop`: gasket height (m) free and fully pressed;
    `stiffness`: N/m of the gasket that this station stands for; `load`: clamp load (N), 0 = no bolt;
    `passage`: the oil passage that it rings, "" = none; `face`: rail, front_cover or rear_cover.
    """

    id: str
    x: float
    y: float
    block: float
    pan: float
    free: float
    stop: float
    stiffness: float
    load: float = 0.0
    passage: str = ""
    face: str = "rail"


class Seat(NamedTuple):
    """A rigid seat. `plane` is (a, b, c) of z = a + b x + c y; `gaps` (m), `forces` and `stops` (N) go by station.

    `touching` are the stations in hard contact. `forces` are the springs' (bare seat: the contacts') and `stops`
    what the hard stops carry. `rocks`: the load sits on one contact or on the line of two, so that the tilt is not
    held. The bare seat then takes, of the lowest planes, the one with the least sum of squared gaps; on a gasket the
    gaps away from the contacts are then any of many.
    """

    plane: tuple[float, float, float]
    gaps: tuple[float, ...]
    touching: tuple[int, ...]
    forces: tuple[float, ...]
    stops: tuple[float, ...] = ()
    rocks: bool = False
    iterations: int = 0


def check_stations(stations: Sequence[Station], *, gasket: bool) -> None:
    """ValueError in a plain sentence when these stations cannot be seated."""
    if not stations:
        raise ValueError("a flange needs at least one station")
    for s in stations:
        if not all(math.isfinite(v) for v in (s.x, s.y, s.block, s.pan, s.free, s.stop, s.stiffness, s.load)):
            raise ValueError(f"station {s.id} has a value that is not a finite number")
        if s.load < 0.0:
            raise ValueError(f"station {s.id} has a clamp load below zero")
        if gasket and (s.stiffness < 0.0 or not 0.0 <= s.stop < s.free):
            raise ValueError(f"station {s.id} needs 0 <= stop < free height and a gasket stiffness not below zero")
    if gasket and not any(s.load > 0.0 for s in stations):
        raise ValueError("no station carries a bolt's load, so nothing seats the flange")


def _local(stations: Sequence[Station]) -> tuple[float, float, float, list[float], list[float]]:
    """Load centroid, reach, and the stations' places from the centroid in reaches (no loads: all count alike)."""
    weights = [s.load for s in stations]
    total = sum(weights)
    if total <= 0.0:
        weights, total = [1.0] * len(stations), float(len(stations))
    cx = sum(w * s.x for w, s in zip(weights, stations, strict=True)) / total
    cy = sum(w * s.y for w, s in zip(weights, stations, strict=True)) / total
    reach = max(math.hypot(s.x - cx, s.y - cy) for s in stations)
    if reach <= 1e-12 * (abs(cx) + abs(cy) + 1.0):
        return cx, cy, 1.0, [0.0] * len(stations), [0.0] * len(stations)
    return cx, cy, reach, [(s.x - cx) / reach for s in stations], [(s.y - cy) / reach for s in stations]


def bare_seat(stations: Sequence[Station]) -> Seat:
    """Seat of the rigid flange on its high points, without a gasket. `free`, `stop`, `stiffness` are not read.

    The dual programme finds the three (or fewer) stations whose triangle holds the load centroid: the facet of
    the upper convex hull above it. `forces` sum to the bolts' loads and balance their moments; where more than
    three stations touch they are one of many possible sets. Without any load all stations weigh alike and the
    forces are zero. ValueError: no stations, a value not finite, a load below zero.
    """
    check_stations(stations, gasket=False)
    cx, cy, reach, xs, ys = _local(stations)
    heights = [s.block + s.pan for s in stations]
    top = max(heights)
    spread = max(top - min(heights), TOUCH)
    basis = solve_lp(
        [(1.0, x, y) for x, y in zip(xs, ys, strict=True)], [(h - top) / spread for h in heights], (1.0, 0.0, 0.0)
    )
    if basis is None:
        raise ValueError("the flange has no seat: the load centroid lies outside the stations")
    holding = [(j, w) for j, w in basis if w > TOUCH]
    a, b, c = _plane_on([j for j, _ in holding], xs, ys, heights)
    rocks = len(holding) < 3
    lift = max(h - (a + b * x + c * y) for h, x, y in zip(heights, xs, ys, strict=True))
    if 0.0 < lift < TOUCH:
        a += lift  # rounding of the plane through the contacts
    plane = (a - (b * cx + c * cy) / reach, b / reach, c / reach)
    gaps = tuple(max(0.0, a + b * x + c * y - h) for h, x, y in zip(heights, xs, ys, strict=True))
    total = sum(s.load for s in stations)
    forces = [0.0] * len(stations)
    for j, weight in holding:
        forces[j] = weight * total
    return Seat(plane, gaps, tuple(i for i, g in enumerate(gaps) if g <= TOUCH), tuple(forces), rocks=rocks)


def _plane_on(
    held: Sequence[int], xs: Sequence[float], ys: Sequence[float], heights: Sequence[float]
) -> tuple[float, float, float]:
    """The plane through the `held` stations; where they leave its tilt free, the one nearest to all the others."""
    p = held[0]
    x0, y0 = xs[p], ys[p]
    if len(held) == 3:
        (x1, y1, h1), (x2, y2, h2) = ((xs[j] - x0, ys[j] - y0, heights[j] - heights[p]) for j in held[1:])
        area = x1 * y2 - x2 * y1
        b, c = (h1 * y2 - h2 * y1) / area, (x1 * h2 - x2 * h1) / area
        return heights[p] - b * x0 - c * y0, b, c
    rest = [heights[p] - h for h in heights]
    us, vs = [x - x0 for x in xs], [y - y0 for y in ys]
    if len(held) == 2:
        q = held[1]
        run = math.hypot(us[q], vs[q])
        if run > TOUCH:
            tx, ty = us[q] / run, vs[q] / run
            rise = (heights[q] - heights[p]) / run
            rest = [r + rise * (u * tx + v * ty) for r, u, v in zip(rest, us, vs, strict=True)]
            turn = _least_turn(rest, [v * tx - u * ty for u, v in zip(us, vs, strict=True)])
            b, c = rise * tx - turn * ty, rise * ty + turn * tx
            return heights[p] - b * x0 - c * y0, b, c
    b, c = _least_tilt(rest, us, vs)
    return heights[p] - b * x0 - c * y0, b, c


def _least_turn(rest: Sequence[float], arms: Sequence[float]) -> float:
    """The t with least sum((rest + t arm)^2) that keeps every rest + t arm at or above zero."""
    low, high, square, product = -math.inf, math.inf, 0.0, 0.0
    for r, arm in zip(rest, arms, strict=True):
        square += arm * arm
        product += r * arm
        if arm > TOUCH:
            low = max(low, -r / arm)
        elif arm < -TOUCH:
            high = min(high, -r / arm)
    if square <= TOUCH * TOUCH:
        return 0.0
    if low > high:
        return (low + high) / 2.0  # both are the same turn, apart by rounding
    return min(max(-product / square, low), high)


def _least_tilt(rest: Sequence[float], us: Sequence[float], vs: Sequence[float]) -> tuple[float, float]:
    """The (b, c) with least sum((rest + b u + c v)^2) that keeps every term at or above zero.

    At the free minimum, or else on the edge of one of the stations that hold it.
    """
    every = list(zip(rest, us, vs, strict=True))
    uu, uv, vv = sum(u * u for u in us), sum(u * v for u, v in zip(us, vs, strict=True)), sum(v * v for v in vs)
    hold = 1e-12 * (uu + vv) + 1e-100  # all in one line: no tilt across it
    uu, vv = uu + hold, vv + hold
    ru, rv = sum(r * u for r, u, _ in every), sum(r * v for r, _, v in every)
    det = uu * vv - uv * uv
    b, c = (uv * rv - vv * ru) / det, (uv * ru - uu * rv) / det
    if min(r + b * u + c * v for r, u, v in every) >= -1e-15:
        return b, c
    best, tilt = math.inf, (0.0, 0.0)
    for r, u, v in every:
        size = u * u + v * v
        if size <= TOUCH * TOUCH:
            continue
        b0, c0 = -r * u / size, -r * v / size
        turn = _least_turn([q + b0 * m + c0 * n for q, m, n in every], [n * u - m * v for _, m, n in every])
        b, c = b0 - turn * v, c0 + turn * u
        terms = [q + b * m + c * n for q, m, n in every]
        value = sum(term * term for term in terms)
        if min(terms) >= -TOUCH * 1e-3 and value < best:
            best, tilt = value, (b, c)
    return tilt


class Law(NamedTuple):
    """A station's law as the solver needs it: heights of z where spring and stop begin, and their stiffness."""

    spring_at: float
    stop_at: float
    spring: float
    stop: float
    load: float


def laws_of(stations: Sequence[Station]) -> list[Law]:
    """The laws of the stations; one stop stiffness for all, from the whole clamp load."""
    stop = sum(s.load for s in stations) / TOUCH
    return [Law(s.block + s.pan + s.free, s.block + s.pan + s.stop, s.stiffness, stop, s.load) for s in stations]


def _states(laws: Sequence[Law], z: Sequence[float], before: Sequence[int], still: float) -> list[int]:
    """0 open, 1 on the spring, 2 on the stop; a station that stands at a kink by rounding stays what it was."""
    return [
        2
        if here < law.stop_at + (still if was == 2 else 0.0)
        else 1
        if here < law.spring_at + (still if was == 1 else 0.0)
        else 0
        for law, here, was in zip(laws, z, before, strict=True)
    ]


def settle(
    laws: Sequence[Law],
    z: list[float],
    solve: Callable[[list[float], list[float]], list[float]],
    *,
    flange: float | None = None,
) -> tuple[list[float], int]:
    """Heights z (m) of least energy from a flat start z, and the steps taken.

    `solve(springs, forces)` gives the moves (m) under extra forces (N) when each station stands on a linear spring
    (N/m). `flange` is the largest stiffness (N/m) of a flange that bends, None for a rigid one; `inner` is the force
    that the flange hands to each station.
    ValueError: no rest is found, which only absurd ratios of stiffness can bring about.
    """
    load = sum(law.load for law in laws)
    # a step is damped, never the rest it leads to: where nothing holds the flange a step stays finite
    damp = 1e-9 * (sum(law.spring for law in laws) or load / 1e-3) / len(laws) + 1e-14 * (flange or 0.0)
    # Full steps first: an elastic flange settles in some five of them, and where they run in a circle the search
    # takes over. A rigid one gains nothing by it.
    free = _FREE_STEPS if flange else 0
    wide = 2.0 * (max(law.spring_at for law in laws) - min(law.stop_at for law in laws))
    inner = [0.0] * len(laws)
    still = 1e-15 + 1e-15 * max(abs(law.spring_at) for law in laws)  # m: rounding, for a station just at a kink
    state = [0] * len(laws)
    for step in range(1, _MOST_STEPS):
        springs, forces = [], []
        state = _states(laws, z, state, still)
        for law, here, own, kind in zip(laws, z, inner, state, strict=True):
            spring, force = damp, -law.load - own
            if kind > 0:
                spring, force = spring + law.spring, force + law.spring * (law.spring_at - here)
            if kind > 1:
                spring, force = spring + law.stop, force + law.stop * (law.stop_at - here)
            springs.append(spring)
            forces.append(force)
        move = solve(springs, forces)
        aim = [here + d for here, d in zip(z, move, strict=True)]
        settled = _states(laws, aim, state, still) == state
        size = max(map(abs, move))
        drop = sum(f * d for f, d in zip(forces, move, strict=True))
        if drop <= 1e-17 * load and (settled or size <= still * step):
            return aim, step
        given = [f - k * d for f, k, d in zip(forces, springs, move, strict=True)] if flange else inner
        share = 1.0
        if not settled and (step > free or size > wide):
            share = _search(laws, z, move, inner, given)
            if share * size <= still and size <= wide:
                share = 1.0  # stuck at a kink by rounding: only a step across it changes that station's state
        z = [here + share * d for here, d in zip(z, move, strict=True)]
        if flange:
            inner = [p + share * q for p, q in zip(inner, given, strict=True)]
    raise ValueError("the flange does not settle with these readings; check loads, stiffness and heights")


def _search(
    laws: Sequence[Law], z: Sequence[float], move: Sequence[float], inner: Sequence[float], given: Sequence[float]
) -> float:
    """The share of `move` at which the energy is least: the zero of a slope that rises from kink to kink."""
    slope = rise = 0.0
    kinks: list[tuple[float, float]] = []
    for law, here, d, p, q in zip(laws, z, move, inner, given, strict=True):
        slope += (p + law.load) * d
        rise += q * d
        for edge, stiffness in ((law.spring_at, law.spring), (law.stop_at, law.stop)):
            if stiffness <= 0.0:
                continue
            deep = edge - here
            if deep > 0.0:
                slope -= stiffness * deep * d
                rise += stiffness * d * d
                if d > 0.0:
                    kinks.append((deep / d, -stiffness * d * d))
            elif d < 0.0:
                kinks.append((deep / d, stiffness * d * d))
    kinks.sort()
    at = 0.0
    for kink, change in kinks:
        here = slope + rise * (kink - at)
        if here >= 0.0:
            break
        slope, at = here, kink
        rise += change
    if slope >= 0.0:
        return at
    return at - slope / rise if rise > 0.0 else at


def fit_plane(
    springs: Sequence[float], forces: Sequence[float], xs: Sequence[float], ys: Sequence[float], *, hold: float = 0.0
) -> tuple[float, float, float]:
    """The plane (a, b, c) that balances `forces` on `springs` (all above zero) at the places.

    Places in one line leave the tilt across it free: it is then zero, or with `hold` (share of the stiffness along
    the line) it is held that much.
    """
    k = kx = ky = kxx = kxy = kyy = f = fx = fy = 0.0
    for spring, force, x, y in zip(springs, forces, xs, ys, strict=True):
        sx, sy = spring * x, spring * y
        k += spring
        kx += sx
        ky += sy
        kxx += sx * x
        kxy += sx * y
        kyy += sy * y
        f += force
        fx += force * x
        fy += force * y
    mx, my = kx / k, ky / k
    # about the springs' own centre and main axes, so that a free tilt does not spoil the rest
    kxx, kxy, kyy = kxx - kx * mx, kxy - kx * my, kyy - ky * my
    fx, fy = fx - f * mx, fy - f * my
    along = (kxx + kyy) / 2.0 + math.hypot((kxx - kyy) / 2.0, kxy)
    b = c = 0.0
    if along > 0.0:
        angle = 0.5 * math.atan2(2.0 * kxy, kxx - kyy)
        ux, uy = math.cos(angle), math.sin(angle)
        across = max(0.0, (kxx * kyy - kxy * kxy) / along)
        tilt = (fx * ux + fy * uy) / along
        turn = 0.0
        if hold > 0.0 or across > _IN_LINE * along:
            turn = (fy * ux - fx * uy) / (across + hold * along)
        b, c = tilt * ux - turn * uy, tilt * uy + turn * ux
    return f / k - b * mx - c * my, b, c


def _in_line(xs: Sequence[float], ys: Sequence[float]) -> bool:
    """Whether these places lie on one line or in one point."""
    if len(xs) < 3:
        return True
    mx, my = sum(xs) / len(xs), sum(ys) / len(ys)
    xx, yy = sum((x - mx) ** 2 for x in xs), sum((y - my) ** 2 for y in ys)
    xy = sum((x - mx) * (y - my) for x, y in zip(xs, ys, strict=True))
    return xx * yy - xy * xy <= _IN_LINE * (xx + yy) ** 2


def reactions(stations: Sequence[Station], z: Sequence[float]) -> tuple[list[float], list[float], list[float]]:
    """Gaps (m, never below the stop), spring forces and stop forces (N) of stations whose flange stands at z (m)."""
    gaps, springs, stops = [], [], []
    for s, law, here in zip(stations, laws_of(stations), z, strict=True):
        gaps.append(max(here - s.block - s.pan, s.stop))
        springs.append(law.spring * max(0.0, law.spring_at - here))
        stops.append(law.stop * max(0.0, law.stop_at - here))
    return gaps, springs, stops


def gasket_seat(stations: Sequence[Station]) -> Seat:
    """Seat of the rigid flange on the gasket's springs and stops under the bolts' loads.

    `touching` are the stations on their stop. Spring and stop forces balance the bolts' loads and moments. A
    taller gasket on springs alone lifts the whole flange and squeezes nothing more; it squeezes more where stops
    carry the load. ValueError: no stations, a value not finite, not 0 <= stop < free, no bolt's load.
    """
    check_stations(stations, gasket=True)
    cx, cy, reach, xs, ys = _local(stations)
    laws = laws_of(stations)

    def solve(springs: list[float], forces: list[float]) -> list[float]:
        a, b, c = fit_plane(springs, forces, xs, ys, hold=1e-13)
        return [a + b * x + c * y for x, y in zip(xs, ys, strict=True)]

    stiffness = sum(law.spring for law in laws)
    if stiffness > 0.0:
        start = sum(law.spring * law.spring_at - law.load for law in laws) / stiffness
    else:
        start = max(law.stop_at for law in laws)
    z, steps = settle(laws, [start] * len(laws), solve)
    a, b, c = fit_plane([1.0] * len(z), z, xs, ys)
    gaps, forces, stops = reactions(stations, z)
    plane = (a - (b * cx + c * cy) / reach, b / reach, c / reach)
    touching = tuple(i for i, (s, g) in enumerate(zip(stations, gaps, strict=True)) if g - s.stop <= TOUCH)
    least = TOUCH * sum(law.load for law in laws)
    held = [i for i, (spring, stop) in enumerate(zip(forces, stops, strict=True)) if spring + stop > least]
    rocks = _in_line([xs[i] for i in held], [ys[i] for i in held])
    return Seat(plane, tuple(gaps), touching, tuple(forces), tuple(stops), rocks, steps)
