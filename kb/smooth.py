"""Probability and spread of a smooth function of independent inputs, from a few dozen evaluations.

For each limit the point where it is most likely met is sought; there the function is taken as linear, with
the mean bend of the limit's surface added (the second-order term of reliability analysis), and the exact
distribution of the sum of errors answers. Two numeric models of the function, at the nominal values and at
the limit, are compared: where they differ, the answer is not trusted. Standard library only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.measure import Term, combine_linear
from kb.sums import Chance, Sum

_FLATNESS = {"normal": 0.0, "rectangular": 1.2, "triangular": 0.6}  # minus the excess kurtosis
_WIDE = 1.7  # nominal slopes are chords over this many u: just inside a rectangular support
_NEAR = 0.3  # step of the derivatives at a limit, in u
_LONG = 1.4  # step along a limit in search of kinks, in u
_FAR = 5.0  # nothing further out than this many u is looked at: less than 3e-7 lies there


class Propagated(NamedTuple):
    """First-order propagation: the value, its standard uncertainty, and df/dx of each input."""

    value: float
    u: float
    slopes: tuple[float, ...]


def propagate(
    f: Callable[..., float],
    values: Sequence[float],
    us: Sequence[float],
    correlation: float | Sequence[Sequence[float]] | Mapping[tuple[int, int], float] = 0.0,
) -> Propagated:
    """f(*values) and its combined standard uncertainty to first order (JCGM 100 5.1.2, 5.2.2).

    Slopes are central differences over a hundredth of each u; an input with u = 0 gets slope 0.
    First order can be far off: where all slopes vanish at the nominal values it sees no spread at all.
    """
    slopes = []
    for i, u in enumerate(us):
        if u == 0.0:
            slopes.append(0.0)
            continue
        step = max(0.01 * u, 1e-9 * abs(values[i]))
        ends = []
        for moved in (values[i] + step, values[i] - step):
            x = list(values)
            x[i] = moved
            ends.append((moved, f(*x)))
        (above, high), (below, low) = ends
        slopes.append((high - low) / (above - below))
    return Propagated(f(*values), combine_linear(slopes, us, correlation), tuple(slopes))


class _Undefined(Exception):
    """The function has no real value at a point that was tried."""


class _Probe:
    """The quantity as a function of errors in units of their standard uncertainty; counts its calls."""

    def __init__(self, f: Callable[..., float], values: Sequence[float], terms: Sequence[Sequence[Term]]) -> None:
        self.f = f
        self.values = list(values)
        us = [math.sqrt(math.fsum(term.u * term.u for term in group)) for group in terms]
        if len(us) != len(self.values):
            raise ValueError(f"{len(self.values)} values came with the errors of {len(us)}")
        self.active = [i for i, u in enumerate(us) if u > 0.0]
        self.us = [us[i] for i in self.active]
        self.terms = [tuple(term.scaled(1.0 / us[i]) for term in terms[i]) for i in self.active]
        self.flatness = [math.fsum(_FLATNESS[term.shape] * term.u**4 for term in group) for group in self.terms]
        # Stencils of the derivatives must stay inside a bounded support.
        supports = (math.fsum(term.half_width for term in group) for group in self.terms)
        self.inside = [min(support, 8.0) - 1.001 * _NEAR for support in supports]
        self.calls = 0

    def at(self, z: Sequence[float]) -> float:
        self.calls += 1
        x = self.values.copy()
        for i, u, scaled in zip(self.active, self.us, z, strict=True):
            x[i] += u * scaled
        try:
            y = self.f(*x)
            if isinstance(y, complex) or not math.isfinite(y):
                raise _Undefined
        except (ArithmeticError, ValueError) as fault:
            raise _Undefined from fault
        return float(y)

    def model(self, z: Sequence[float], y: float, h: float) -> tuple[list[float], list[float]]:
        """Slopes and second derivatives along each axis at z, where the value is y."""
        slopes, bends = [], []
        for i in range(len(z)):
            moved = list(z)
            moved[i] = z[i] + h
            above = self.at(moved)
            moved[i] = z[i] - h
            below = self.at(moved)
            slopes.append((above - below) / (2.0 * h))
            bends.append((above + below - 2.0 * y) / (h * h))
        return slopes, bends

    def total(self, slopes: Sequence[float], more: float = 0.0) -> Sum:
        """The distribution of the errors' sum, each input weighted with its slope; `more` is one more normal u."""
        terms = [t.scaled(g) for g, group in zip(slopes, self.terms, strict=True) for t in group]
        return Sum([*terms, Term("normal", more)])


def _norm(v: Sequence[float]) -> float:
    return math.sqrt(math.fsum(a * a for a in v))


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return math.fsum(x * y for x, y in zip(a, b, strict=True))


def _nearest(slopes: Sequence[float], target: float, bounds: Sequence[float]) -> list[float]:
    """The smallest z with slopes . z = target and |z_i| <= bounds_i, or as near as the bounds let it come."""
    z = [0.0] * len(slopes)
    free = [i for i, g in enumerate(slopes) if g]
    left = target
    while free:
        size = math.fsum(slopes[i] ** 2 for i in free)
        if size == 0.0:
            break
        over = [i for i in free if abs(slopes[i] * left) > bounds[i] * size]
        if not over:
            for i in free:
                z[i] = slopes[i] * left / size
            break
        for i in over:
            z[i] = math.copysign(bounds[i], slopes[i] * left)
        free = [i for i in free if i not in over]
        left = target - _dot(slopes, z)
    return z


def _toward(probe: _Probe, slopes: Sequence[float], f0: float, limit: float) -> tuple[list[float], float]:
    """A point near the limit, in the direction in which it is soonest met, and the value there."""
    aim, size = limit - f0, _norm(slopes)
    most = _FAR * size
    asked, got = 0.0, 0.0
    following = min(max(aim, -most), most)
    for _ in range(4):
        z = _nearest(slopes, following, probe.inside)
        y = probe.at(z)
        gained, step = y - f0 - got, following - asked
        asked, got = following, y - f0
        if abs(aim - got) <= 0.02 * size or gained * step <= 0.0:
            break
        following = min(max(asked + (aim - got) * step / gained, -most), most)
        if following == asked:
            break
    return z, y


def _unevenness(probe: _Probe, slopes: Sequence[float], z: Sequence[float], y: float) -> float:
    """How much the bend along the limit changes between a short and a long step: large beside a kink."""
    room = [min(b - abs(a), _LONG) for a, b in zip(z, probe.inside, strict=True)]
    free = [i for i, r in enumerate(room) if r > 0.5 * _LONG]
    size = _dot([slopes[i] for i in free], [slopes[i] for i in free])
    if len(free) < 2 or size == 0.0:
        return 0.0
    # The direction in which the steepest input gives way to all others at once.
    first = max(free, key=lambda i: abs(slopes[i]))
    way = [0.0] * len(z)
    for i in free:
        way[i] = math.copysign(1.0, slopes[i]) * (-1.0 if i == first else 1.0)
    lean = _dot(way, slopes) / size
    for i in free:
        way[i] -= lean * slopes[i]
    way = [a / _norm(way) for a in way]
    bends = []
    for h in (_NEAR, min(min(r for r, a in zip(room, way, strict=True) if a), _LONG)):
        ends = probe.at([a + h * b for a, b in zip(z, way, strict=True)])
        ends += probe.at([a - h * b for a, b in zip(z, way, strict=True)])
        bends.append((ends - 2.0 * y) / (h * h * _norm(slopes)))
    return abs(bends[1] - bends[0])


def _straight(probe: _Probe, f0: float, slopes: Sequence[float], noise: float) -> bool:
    """True if corners confirm that the function is linear, also where one input hides behind another.

    The steps differ from input to input so that the cross terms of a product cannot cancel.
    """
    corner = [math.copysign(1.0 + 0.6 * (i * 0.618 % 1.0), g) for i, g in enumerate(slopes)]
    tries = [corner, [-a for a in corner]]
    for i, g in enumerate(slopes):
        if abs(g) <= noise:
            tries += [[s * a if k != i else t * _WIDE for k, a in enumerate(corner)] for s in (1, -1) for t in (1, -1)]
    return all(abs(probe.at(z) - f0 - _dot(slopes, z)) <= 2.0 * noise for z in tries)


class _Nominal(NamedTuple):
    """The function's quadratic model at the nominal values; `cross` holds the mixed second derivatives."""

    f0: float
    slopes: list[float]
    bends: list[float]
    cross: list[list[float]]


def _crossed(probe: _Probe, f0: float, slopes: Sequence[float], bends: Sequence[float]) -> list[list[float]]:
    n = len(slopes)
    axis = [f0 + g * _WIDE + 0.5 * bend * _WIDE**2 for g, bend in zip(slopes, bends, strict=True)]
    cross = [[0.0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i):
            z = [0.0] * n
            z[i] = z[j] = _WIDE
            cross[i][j] = cross[j][i] = (probe.at(z) - axis[i] - axis[j] + f0) / _WIDE**2
    return cross


def _scatter(nominal: _Nominal, unit: Sequence[float], curved: Sequence[float]) -> float:
    """Variance of the quadratic part along the limit (slopes scaled to one): half the squared norm of P H P."""
    steep = _norm(nominal.slopes)
    rows = [[c / steep for c in row] for row in nominal.cross]
    for i, bend in enumerate(curved):
        rows[i][i] = bend
    turned = [_dot(row, unit) for row in rows]
    whole = math.fsum(a * a for row in rows for a in row)
    return max(0.5 * (whole - 2.0 * _dot(turned, turned) + _dot(turned, unit) ** 2), 0.0)


def _below(probe: _Probe, nominal: _Nominal, limit: float) -> tuple[float, float]:
    """P(quantity < limit) and how far off it may be."""
    f0, slopes, bends = nominal[:3]
    z, y = _toward(probe, slopes, f0, limit)
    for last in (False, True):
        here, curved = probe.model(z, y, _NEAR)
        size = _norm(here)
        if size == 0.0:
            return (1.0 if y < limit else 0.0), 1.0
        # The likeliest point of the limit if the function were linear from z on.
        point = _nearest(here, _dot(here, z) + limit - y, probe.inside)
        value = probe.at(point)
        off = _norm([a - b for a, b in zip(z, point, strict=True)])
        turn = off * max(abs(bend) for bend in curved) / size
        if last or turn <= 0.1:
            break
        z, y = point, value
    unit = [g / size for g in here]
    shift = scatter = 0.0
    if len(z) > 1:
        along = probe.at([a + _NEAR * b for a, b in zip(z, unit, strict=True)])
        along += probe.at([a - _NEAR * b for a, b in zip(z, unit, strict=True)]) - 2.0 * y
        shift = 0.5 * (math.fsum(curved) - along / _NEAR**2)
        scatter = _scatter(nominal, unit, [bend / size for bend in curved])
    total = probe.total(here)
    threshold = limit - value + _dot(here, point)
    flat = math.fsum(k * a * a * (1.0 - a * a) for k, a in zip(probe.flatness, unit, strict=True))
    # Given the sum s, flat-topped errors scatter along the limit more than normal ones near s = 0 and less far out
    # (fourth cumulants). This factor and those below were fitted on draws: products, ratios, roots, 1/d^4, 1 to 20 %.
    share = 1.0 + 0.4 * flat * (1.0 - min((threshold / total.u) ** 2, 3.0))
    plain = total.cdf(threshold)
    moved = total.cdf(threshold - share * shift)
    p = probe.total(here, size * math.sqrt(scatter)).cdf(threshold - share * shift) if scatter > 1e-6 else moved
    error = (0.12 + 0.4 * flat) * abs(moved - plain) + 0.3 * abs(p - moved) + 0.05 * scatter
    error += total.density(threshold) * abs(limit - value) * min(turn, 1.0)
    error += 0.1 * max(_unevenness(probe, here, point, value) - 0.03, 0.0)
    steep = _norm(slopes)
    error += 0.1 * max(1.0 - _dot(slopes, unit) / steep - 0.02, 0.0)
    mixed = max((abs(c) for row in nominal.cross for c in row), default=0.0) / steep
    error += 0.05 * max(mixed - 0.25, 0.0)
    for g0, g1, b0, b1 in zip(slopes, here, bends, curved, strict=True):
        if g0 * g1 < 0.0 and min(abs(g0) / steep, abs(g1) / size) > 0.05:
            return p, 1.0
        change = abs(b1 / size - b0 / steep)
        error += 0.02 * max(change - 0.1, 0.0)
    return p, error


def p_smooth(
    f: Callable[..., float],
    values: Sequence[float],
    terms: Sequence[Sequence[Term]],
    low: float,
    high: float,
) -> Chance:
    """P(low <= f(*(values + errors)) <= high), limits inclusive, either of them infinite.

    `terms[i]` are the errors of input i. f must be smooth: a minimum or maximum of parts belongs to
    `kb.stations` or to draws. It is never called outside a bounded support, nor further than 8 u from the
    values. About 2n+3 calls for a linear f of n uncertain inputs, else about n*n/2 + 6n + 20. `trusted` is False
    where the error may exceed 0.005: strong bends, a slope that changes its sign, or a point where f has no real
    value (p is then NaN). Of functions with a kink within reach of the errors about one in ten slips through as
    trusted: their caller must know them. ValueError for a limit that is NaN.
    """
    if math.isnan(low) or math.isnan(high):
        raise ValueError("a probability needs limits that are numbers")
    probe = _Probe(f, values, terms)
    n = len(probe.active)
    try:
        f0 = probe.at([0.0] * n)
        certain = 1.0 if low <= f0 <= high else 0.0
        if not n:
            return Chance(certain, 0.0, "exact", probe.calls, (0.0,) * len(values))
        slopes, bends = probe.model([0.0] * n, f0, _WIDE)
        size = _norm(slopes)
        spread = [0.0] * len(values)
        for i, g in zip(probe.active, slopes, strict=True):
            spread[i] = g
        shown = tuple(spread)
        noise = 1e-9 * size + 1e-13 * abs(f0)
        straight = all(abs(bend) <= noise for bend in bends) and _straight(probe, f0, slopes, noise)
        if size <= 1e-13 * abs(f0):
            return Chance(certain, 0.0 if straight else 1.0, "flat", probe.calls, shown)
        if straight:
            p = probe.total(slopes).between(low - f0, high - f0)
            return Chance(p, 0.0, "linear", probe.calls, shown)
        nominal = _Nominal(f0, slopes, bends, _crossed(probe, f0, slopes, bends))
        p, error = 1.0, 0.0
        if low > -math.inf:
            below, off = _below(probe, nominal, low)
            p, error = p - below, error + off
        if high < math.inf:
            below, off = _below(probe, nominal, high)
            p, error = p - (1.0 - below), error + off
        for g, bend in zip(slopes, bends, strict=True):
            # Chords to either side of the nominal value with opposite signs: not monotone there.
            if abs(bend) * _WIDE > 2.0 * abs(g) and abs(bend) * _WIDE > 0.1 * size:
                error = 1.0
        return Chance(min(max(p, 0.0), 1.0), min(error, 1.0), "surface", probe.calls, shown)
    except _Undefined:
        return Chance(math.nan, 1.0, "undefined", probe.calls)
