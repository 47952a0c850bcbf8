"""Geometry and forces of a belt that runs round pulleys on either of its sides.

Positions in a plane, m; a pulley's radius is that of the belt line on it. Walking along the belt in list order, a
pulley of the inner side is turned round one way and a pulley of the back the other: with radii signed that way one
formula gives every tangent, and the signed wraps of a belt that closes without crossing itself add up to one turn.
`tangent_route` takes numpy arrays for any coordinate or radius, so that whole fields of layouts are computed at once.

Source: plane geometry; Shigley's Mechanical Engineering Design, chapter 17, for the two-pulley case; Euler-Eytelwein
for the grip.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from kb.maths import exp

TURN = 2.0 * math.pi
_TINY = 1e-12
_NEWTON = 8  # steps


class Route(NamedTuple):
    """A belt line laid round pulleys, in list order.

    spans: free lengths, m, from each pulley to the next (the last to the first). wraps: angle of contact, rad, on each
    pulley, positive; a little below zero where the line passes the pulley without touching it. length: m. turns: signed
    sum of the wraps over one turn, which is `sense` for a belt that closes without crossing. sense: 1 where the list
    runs against the clock, else -1. directions: unit vectors of the spans.
    """

    spans: tuple[Any, ...]
    wraps: tuple[Any, ...]
    length: Any
    turns: Any
    sense: Any
    directions: tuple[tuple[Any, Any], ...]

    @property
    def closes(self) -> Any:
        """Whether order and sides make a belt that does not cross itself."""
        return abs(self.turns - self.sense) < 1e-6


class Arm(NamedTuple):
    """The pulley `at` (its place in the list) swings on an arm about a pivot.

    free: angle, rad, at the stop that the spring pushes to with no belt on; wound: at the other stop, where the belt
    goes on. Angles against the clock from the x axis; free to wound is the way that the arm really swings.
    """

    at: int
    x: float
    y: float
    length: float
    free: float
    wound: float

    def place(self, share: float) -> tuple[float, float]:
        """Centre of the pulley at this share of the travel, 0 at the free stop and 1 at the wound one."""
        angle = self.free + share * (self.wound - self.free)
        return self.x + self.length * math.cos(angle), self.y + self.length * math.sin(angle)


def _numpy_for(values: Sequence[Any]) -> Any:
    if any(hasattr(value, "__array__") for value in values):
        import numpy

        return numpy
    return None


def orientation(xs: Sequence[Any], ys: Sequence[Any]) -> Any:
    """1 where the centres are listed against the clock (or lie on a line), else -1, from the area they enclose."""
    count = len(xs)
    twice = sum(xs[i] * ys[(i + 1) % count] - xs[(i + 1) % count] * ys[i] for i in range(count))
    numpy = _numpy_for([twice])
    if numpy is not None:
        return numpy.where(twice < -_TINY, -1.0, 1.0)
    return -1.0 if twice < -_TINY else 1.0


def tangent_route(
    xs: Sequence[Any], ys: Sequence[Any], radii: Sequence[Any], backs: Sequence[bool], sense: Any = None
) -> Route:
    """The belt line round pulleys at (x, y) with these radii, m, those marked in `backs` on its back.

    Arrays of one shape may stand for any figure. sense: 1 if the list runs against the clock, -1 if with it; found
    from the centres when not given. Pulleys that overlap give a span of 0. ValueError for fewer than two.
    """
    count = len(xs)
    if count < 2:
        raise ValueError("a belt needs two pulleys")
    if sense is None:
        sense = orientation(xs, ys)
    numpy = _numpy_for([*xs, *ys, *radii, sense])
    sqrt, atan2 = (math.sqrt, math.atan2) if numpy is None else (numpy.sqrt, numpy.arctan2)
    signs = [-1.0 if back else 1.0 for back in backs]
    signed = [sign * sense * radius for sign, radius in zip(signs, radii, strict=True)]
    spans, directions = [], []
    for i in range(count):
        j = (i + 1) % count
        dx, dy, across = xs[j] - xs[i], ys[j] - ys[i], signed[j] - signed[i]
        square = dx * dx + dy * dy + _TINY * _TINY
        free = square - across * across
        span = sqrt(numpy.maximum(free, 0.0) if numpy is not None else max(free, 0.0))
        spans.append(span)
        directions.append(((span * dx + across * dy) / square, (span * dy - across * dx) / square))
    wraps = []
    for i in range(count):
        (ax, ay), (bx, by) = directions[i - 1], directions[i]
        bend = sense * signs[i] * atan2(ax * by - ay * bx, ax * bx + ay * by)
        # A bend beyond a right angle the wrong way is a wrap beyond half a turn; a smaller one is mostly a pulley that
        # the belt misses.
        wraps.append(_lifted(bend, bend <= -0.5 * math.pi, numpy))
    total = sum(sign * wrap for sign, wrap in zip(signs, wraps, strict=True))
    inside = [i for i in range(count) if not backs[i]]
    if inside:
        # Where a turn is lacking, a small bend the wrong way was a large pulley wrapped nearly all round.
        bends = [wraps[i] for i in inside]
        worst = min(bends) if numpy is None else numpy.minimum.reduce(numpy.broadcast_arrays(*bends))
        short = (total < 0.5 * TURN) & (worst < 0.0)
        for i in inside:
            wraps[i] = _lifted(wraps[i], short & (wraps[i] == worst), numpy)
        total = sum(sign * wrap for sign, wrap in zip(signs, wraps, strict=True))
    length = sum(spans) + sum(radius * wrap for radius, wrap in zip(radii, wraps, strict=True))
    return Route(tuple(spans), tuple(wraps), length, sense * total / TURN, sense, tuple(directions))


def _lifted(bend: Any, where: Any, numpy: Any) -> Any:
    """A whole turn more where the condition holds."""
    if numpy is not None:
        return numpy.where(where, bend + TURN, bend)
    return bend + TURN if where else bend


def open_belt_length(small: Any, large: Any, centres: Any) -> Any:
    """Length, m, of an open belt over two pulleys of these diameters (Shigley, chapter 17)."""
    half = 0.0 * centres
    return tangent_route((half, centres), (half, half), (small / 2, large / 2), (False, False)).length


def small_pulley_wrap(small: Any, large: Any, centres: Any) -> Any:
    """Angle of contact, rad, on the smaller of two pulleys: pi - 2 asin((D - d) / 2C) (Shigley, chapter 17)."""
    half = 0.0 * centres
    return tangent_route((half, centres), (half, half), (small / 2, large / 2), (False, False)).wraps[0]


def span_ends(
    route: Route, xs: Sequence[Any], ys: Sequence[Any], radii: Sequence[Any], backs: Sequence[bool]
) -> list[tuple[Any, Any, Any, Any]]:
    """(x1, y1, x2, y2), m, of each free span: where the belt leaves a pulley and where it meets the next."""
    count = len(xs)
    made = []
    for i in range(count):
        j = (i + 1) % count
        ux, uy = route.directions[i]
        here, there = (route.sense * radii[k] * (-1.0 if backs[k] else 1.0) for k in (i, j))
        made.append((xs[i] + here * uy, ys[i] - here * ux, xs[j] + there * uy, ys[j] - there * ux))
    return made


# -- the tensioner ---------------------------------------------------------------------------------------------------


def arm_share(length_at: Callable[[float], float], belt: float) -> float:
    """Share of the tensioner's travel at which the route is as long as the belt: 0 free stop, 1 wound stop.

    Below 0 the belt is too long to be taken up, above 1 too short to go on: the share then goes on with the slope at
    that stop, or with the mean one where that is steeper. `length_at(share)` is the route's length, m.
    ValueError for an arm that changes nothing.
    """
    low, high = 0.0, 1.0
    at_low, at_high = length_at(low) - belt, length_at(high) - belt
    if at_low * at_high > 0.0:
        # Past a dead point the way round shrinks again: released from the wound stop, the arm halts at the first fit.
        steps = [step / 8 for step in range(7, 0, -1)]
        turned = next(((s, v) for s in steps for v in [length_at(s) - belt] if v * at_high <= 0.0), None)
        if turned is None:
            return _beyond(length_at, belt, at_low, at_high)
        low, at_low = turned
    return _zero(lambda share: length_at(share) - belt, low, high, at_low, at_high)


def arm_shares(
    arm: Arm,
    xs: Sequence[Any],
    ys: Sequence[Any],
    radii: Sequence[Any],
    backs: Sequence[bool],
    belts: Any,
    sense: Any = None,
) -> Any:
    """`arm_share` of many layouts or belts at once: numpy arrays may stand for any figure, `belts` (m) for the lengths.

    The figures at `arm.at` in xs and ys are not read. NaN where Newton's way from mid travel finds no place between the
    stops that the belt reaches: what holds there `arm_share` says of one layout. `sense` as for `tangent_route`.
    """
    import numpy

    belts = numpy.asarray(belts, dtype=float)
    xs, ys = list(xs), list(ys)
    count, swing = len(xs), arm.wound - arm.free
    share = numpy.full(numpy.broadcast(belts, *xs[: arm.at], *xs[arm.at + 1 :], *ys[: arm.at], *radii).shape, 0.5)
    step = share
    xs[arm.at], ys[arm.at] = arm.place(1.0)
    wound = tangent_route(xs, ys, radii, backs, sense).length
    for _ in range(_NEWTON):
        angle = arm.free + share * swing
        xs[arm.at], ys[arm.at] = arm.x + arm.length * numpy.cos(angle), arm.y + arm.length * numpy.sin(angle)
        route = tangent_route(xs, ys, radii, backs, sense)
        # Moving a pulley lengthens the belt by what the run towards it and the run away from it differ in that way.
        (inx, iny), (outx, outy) = route.directions[(arm.at - 1) % count], route.directions[arm.at]
        slope = arm.length * swing * ((outx - inx) * numpy.sin(angle) - (outy - iny) * numpy.cos(angle))
        with numpy.errstate(divide="ignore", invalid="ignore"):
            step = numpy.clip((route.length - belts) / slope, -0.5, 0.5)
        share = share - step
        if float(numpy.nanmax(numpy.abs(step))) < 1e-4:  # the next step would be about the square of this one
            break
    inside = (share >= 0.0) & (share <= 1.0) & (route.wraps[arm.at] > 0.0)
    # Past a dead point the way round shrinks again; the arm, released from the wound stop, halts at the first fit.
    first = (slope < 0.0) & (wound <= belts)
    reached = (numpy.abs(step) < 1e-4) & inside & first
    return numpy.where(reached, share, math.nan)


def _zero(f: Callable[[float], float], low: float, high: float, at_low: float, at_high: float) -> float:
    """Where f is 0 between two places of unlike sign: regula falsi with the Illinois weight."""
    side = 0
    for _ in range(100):
        if at_low == at_high:
            return low
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at = f(middle)
        if abs(at) < 1e-12 or high - low < 1e-13:
            return middle
        if at * at_high > 0.0:
            high, at_high = middle, at
            if side == -1:
                at_low *= 0.5
            side = -1
        else:
            low, at_low = middle, at
            if side == 1:
                at_high *= 0.5
            side = 1
    return middle


def _beyond(length_at: Callable[[float], float], belt: float, at_free: float, at_wound: float) -> float:
    stop, off = (0.0, at_free) if abs(at_free) <= abs(at_wound) else (1.0, at_wound)
    chord = at_wound - at_free
    inner = 1e-4 if stop == 0.0 else -1e-4
    slope = (length_at(stop + inner) - belt - off) / inner
    if slope * chord <= 0.0 or abs(slope) < abs(chord):  # near a dead point the slope says too much
        slope = chord
    if not slope:
        raise ValueError("the tensioner's arm takes up no belt")
    return stop - abs(off / slope) if stop == 0.0 else stop + abs(off / slope)


# -- planes, speeds, grip --------------------------------------------------------------------------------------------


def misalignment(first: float, second: float, span: float) -> float:
    """Angle, rad, of a belt run askew from one plane, m, to another over a span, m; positive if the second is ahead."""
    return math.atan2(second - first, span)


def speed_ratio(driving_pitch: Any, driven_pitch: Any) -> Any:
    """Turns of the driven pulley for one of the driving one, without slip: the ratio of their pitch diameters."""
    return driving_pitch / driven_pitch


def capstan_ratio(friction: Any, wrap: Any, half_angle: float = 0.5 * math.pi) -> Any:
    """Largest ratio of tight to slack tension before slip: exp(mu theta / sin(half angle)).

    wrap in rad. half_angle: half of the groove's angle; a right angle stands for a flat face.
    """
    return exp(friction * wrap / math.sin(half_angle))


def hold_force(load: Any, friction: Any, wrap: Any) -> Any:
    """Force that holds a load by a rope or flat belt round a drum: load / exp(mu theta) (Euler-Eytelwein)."""
    return load / capstan_ratio(friction, wrap)


def span_tensions(forces: Sequence[float], along: bool, known: Sequence[int], tension: float) -> list[float]:
    """Tension, N, in the span after each pulley of the list.

    forces: what each pulley takes out of the belt, N, list order; what drives it gives back their sum, negative.
    along: the belt travels in list order. known: spans whose mean tension is `tension`, N.
    """
    count = len(forces)
    found = [0.0] * count
    # Travelling on, the belt is tighter behind a pulley that it turns, by what that pulley takes.
    for i in range(1, count):
        found[i] = found[i - 1] + (forces[i] if along else -forces[i])
    shift = tension - sum(found[i] for i in known) / len(known)
    return [each + shift for each in found]


# -- contact ---------------------------------------------------------------------------------------------------------


def rim_gap(x1: float, y1: float, r1: float, x2: float, y2: float, r2: float) -> float:
    """Distance, m, between the rims of two pulleys; negative where they overlap."""
    return math.hypot(x2 - x1, y2 - y1) - r1 - r2
