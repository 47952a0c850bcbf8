"""Probabilities of many combinations at once: the sums of `kb/sums.py` and the stations of `kb/stations.py` on arrays.

For scripts that judge thousands of pans or gaskets at a time; a single combination is quicker with those. A normal part
is given by its variance, rectangular errors by their half widths, a triangular error being two of half the width.
Values and limits are in one unit, whichever it is.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

import numpy
from numpy.typing import ArrayLike, NDArray

Array = NDArray[numpy.float64]

_PER_UNIT, _END = 1024, 8.5  # of the table of the normal cdf; linear between its entries: 3e-8 off at most
_TRANSITION = 5.0  # standard uncertainties over which a station goes from never to always
_NODES = 20  # of Gauss-Legendre over a transition
_TERMS = 160  # of the Fourier series at most
_LEFT = 1e-5  # envelope of the Fourier terms at which the series ends
_REACH = 5.0  # standard uncertainties: half the period of the series
_CHUNK = 2_500  # rows at a time, so that arrays stay in the cache
_ROOT2, _ROOT3, _ROOT2PI = math.sqrt(2.0), math.sqrt(3.0), math.sqrt(2.0 * math.pi)


@lru_cache(maxsize=1)
def _table() -> tuple[Array, Array]:
    z = [at / _PER_UNIT for at in range(-int(_END * _PER_UNIT), int(_END * _PER_UNIT) + 2)]
    cdf = numpy.array([0.5 * math.erfc(-each / _ROOT2) for each in z])
    return cdf[:-1], numpy.diff(cdf)


def normal_cdf(z: ArrayLike) -> Array:
    """P(standard normal <= z), at most 3e-8 off; any shape; NaN stays NaN."""
    values, steps = _table()
    at = numpy.asarray(z, dtype=float) * _PER_UNIT
    at += _END * _PER_UNIT
    numpy.clip(at, 0.0, len(values) - 1.0, out=at)
    with numpy.errstate(invalid="ignore"):  # a NaN has no place in the table, and stays what it is
        index = at.astype(numpy.intp)
    at -= index
    at *= steps.take(index, mode="clip")
    at += values.take(index, mode="clip")
    return at


def p_between(mean: ArrayLike, variance: ArrayLike, halves: ArrayLike, low: ArrayLike, high: ArrayLike) -> Array:
    """P(low <= mean + sum of errors <= high) for each row, limits inclusive and either of them infinite.

    mean, variance (of the normal errors), low, high: (n,) or one figure for all; halves: (n, m) half widths of the
    rectangular errors, 0 for none. Error below 1e-4, below 1e-7 without rectangular errors. A row with no error is
    inside or outside.
    """
    mean, variance, low, high = numpy.broadcast_arrays(
        *(numpy.asarray(x, dtype=float) for x in (mean, variance, low, high))
    )
    mean, variance, low, high = (numpy.atleast_1d(each) for each in (mean, variance, low, high))
    halves = numpy.broadcast_to(numpy.asarray(halves, dtype=float), (len(mean), numpy.shape(halves)[-1]))
    if not halves.any():
        return _normal_between(low - mean, high - mean, numpy.sqrt(variance))
    found = numpy.empty(len(mean))
    for start in range(0, len(mean), _CHUNK):
        rows = slice(start, start + _CHUNK)
        found[rows] = _mixed(low[rows] - mean[rows], high[rows] - mean[rows], variance[rows], halves[rows])
    return found


def _normal_between(low: Array, high: Array, sigma: Array) -> Array:
    sure = sigma == 0.0
    with numpy.errstate(divide="ignore", invalid="ignore"):
        found = normal_cdf(high / sigma) - normal_cdf(low / sigma)
    if sure.any():
        found[sure] = ((low <= 0.0) & (high >= 0.0))[sure]
    return numpy.maximum(found, 0.0)


def _mixed(low: Array, high: Array, variance: Array, halves: Array) -> Array:
    """The Fourier series of the density on the reach of the errors, integrated from low to high.

    Its terms are products of sines, sin(k x), which follow each other by sin((k + 1) x) = 2 cos(x) sin(k x) -
    sin((k - 1) x): no sine is worked out but the first ones.
    """
    u = numpy.sqrt(variance + (halves**2).sum(axis=1) / 3.0)
    several = (halves > 0.0).sum(axis=1)
    alone = several == 0
    box = (several == 1) & (variance == 0.0)  # its series would converge slowly
    series = ~(alone | box)
    # Sums of normal and rectangular errors are sub-Gaussian: beyond 5 u lies less than 2 exp(-12.5) = 7e-6.
    reach = numpy.where(alone, 1.0, _REACH * u)
    step = math.pi / reach
    # A rectangle of no width has the factor 1, which a very narrow one has too.
    turns = numpy.maximum(halves * step[:, None], 1e-7).T
    angles = numpy.vstack(
        [numpy.clip(low * step, -math.pi, math.pi), numpy.clip(high * step, -math.pi, math.pi), turns]
    )
    sines, before, twice = numpy.sin(angles), numpy.zeros_like(angles), 2.0 * numpy.cos(angles)
    damp = numpy.exp(-0.5 * variance * step * step)
    gauss, growth, damp2 = damp.copy(), damp**3, damp * damp  # damp ** (k * k), and what leads to the next
    scale = 1.0 / turns.prod(axis=0)
    total = 0.5 * (angles[1] - angles[0]) / math.pi
    for k in range(1, _TERMS + 1):
        factor = gauss * scale
        for sine in sines[2:]:
            factor *= sine
        factor *= sines[1] - sines[0]
        factor /= math.pi * float(k) ** (len(turns) + 1)
        total += factor
        if k % 4 == 0:
            envelope = gauss / k
            for turn in turns:
                envelope /= numpy.maximum(k * turn, 1.0)
            if float(envelope[series].max(initial=0.0)) < _LEFT:
                break
        following = twice * sines
        following -= before
        sines, before = following, sines
        gauss *= growth
        growth *= damp2
    found: Array = numpy.clip(total, 0.0, 1.0)
    if alone.any():
        found[alone] = _normal_between(low[alone], high[alone], numpy.sqrt(variance[alone]))
    if box.any():
        wide = halves[box].sum(axis=1)
        found[box] = (numpy.clip(high[box], -wide, wide) - numpy.clip(low[box], -wide, wide)) / (2.0 * wide)
    found[high < low] = 0.0
    return found


def p_all_stations(
    mean: ArrayLike,
    own: ArrayLike,
    shared: ArrayLike,
    low: float = -math.inf,
    high: float = math.inf,
    *,
    shape: str = "normal",
) -> Array:
    """P(low <= mean[i, s] + shared error of row i + own error of station s <= high at every station s), for each row i.

    mean: (n, stations). own: (n, stations) or (stations,), standard uncertainties of the stations' own normal errors.
    shared: (n,) or one figure, standard uncertainty of the error that all stations of a row share; shape: 'normal' or
    'rectangular'. Given the shared error the stations are independent: their product is integrated over it, where it
    is neither none nor all. Error below 1e-3. ValueError for a negative uncertainty or another shape.
    """
    mean = numpy.atleast_2d(numpy.asarray(mean, dtype=float))
    own = numpy.broadcast_to(numpy.asarray(own, dtype=float), mean.shape)
    u = numpy.broadcast_to(numpy.asarray(shared, dtype=float), (len(mean),))
    if (own < 0.0).any() or (u < 0.0).any() or shape not in _SHARED:
        raise ValueError("an uncertainty is zero or more, and its shape normal or rectangular")
    found = numpy.empty(len(mean))
    for start in range(0, len(mean), _CHUNK):
        rows = slice(start, start + _CHUNK)
        found[rows] = _Rows(mean[rows], own[rows], u[rows], low, high, _SHARED[shape]).p()
    return found


class _Shared(NamedTuple):
    """An error of standard uncertainty 1: its cdf and density, and beyond which figure less than 1e-7 of it lies."""

    cdf: Callable[[Array], Array]
    density: Callable[[Array], Array]
    reach: float


_SHARED = {
    "normal": _Shared(normal_cdf, lambda t: numpy.exp(-0.5 * t * t) / _ROOT2PI, 5.5),
    "rectangular": _Shared(
        lambda t: numpy.clip(0.5 + t / (2.0 * _ROOT3), 0.0, 1.0),
        lambda t: numpy.where(numpy.abs(t) <= _ROOT3, 1.0 / (2.0 * _ROOT3), 0.0),
        _ROOT3,
    ),
}


class _Rows:
    """Some rows of stations. The shared error is counted in its own standard uncertainty, t."""

    def __init__(self, mean: Array, own: Array, u: Array, low: float, high: float, shared: _Shared) -> None:
        size = numpy.maximum(u, own.max(axis=1))
        # An exact figure counts as one with next to no error: a step then lies inside its transition.
        least = 1e-9 * numpy.where(size > 0.0, size, 1e-9 + numpy.abs(mean).max(axis=1))
        self.mean, self.low, self.high, self.shared = mean, low, high, shared
        self.own = numpy.maximum(own, least[:, None])
        self.u = numpy.maximum(u, least)

    def p(self) -> Array:
        """The probability of each row."""
        width = _TRANSITION * self.own.max(axis=1) / self.u
        first = (self.low - self.mean).max(axis=1) / self.u  # where the station that is first to fail low fails
        last = (self.high - self.mean).min(axis=1) / self.u
        apart = first + width <= last - width  # always so with limits on one side only
        with numpy.errstate(invalid="ignore"):
            middle = 0.5 * (first + last)
        start, end = (numpy.where(apart, each, middle) for each in (first + width, last - width))
        found = self.shared.cdf(end) - self.shared.cdf(start)
        if self.low > -math.inf:
            found += self.over(first - width, start)
        if self.high < math.inf:
            found += self.over(end, last + width)
        return numpy.clip(found, 0.0, 1.0)

    def over(self, start: Array, end: Array) -> Array:
        """The product of the stations, integrated over the shared error from `start` to `end` (Gauss-Legendre)."""
        total = numpy.zeros(len(start))
        a, b = numpy.maximum(start, -self.shared.reach), numpy.minimum(end, self.shared.reach)
        rows = numpy.flatnonzero(b > a)
        if not len(rows):
            return total
        own = self.own[rows]
        pieces = _pieces(float((own.max(axis=1) / own.min(axis=1)).max()))
        mean, scale, u = self.mean[rows], 1.0 / own, self.u[rows]
        below, above = (mean - self.low) * scale, (mean - self.high) * scale
        step = (b[rows] - a[rows]) / pieces
        for piece in range(pieces):
            for node, weight in zip(*_legendre(), strict=True):
                t = a[rows] + (piece + node) * step
                shift = (u * t)[:, None] * scale
                if self.low > -math.inf:
                    inside = normal_cdf(below + shift)
                    if self.high < math.inf:
                        inside = numpy.maximum(inside - normal_cdf(above + shift), 0.0)
                else:
                    inside = normal_cdf(-above - shift)
                total[rows] += weight * step * inside.prod(axis=1) * self.shared.density(t)
        return total


def _pieces(ratio: float) -> int:
    """Into how many pieces a transition is cut, so that a station of little error is not stepped over."""
    return 1 if ratio <= 3.0 else 4 if ratio <= 12.0 else 16


@lru_cache(maxsize=1)
def _legendre() -> tuple[list[float], list[float]]:
    """Nodes in 0..1 and weights that sum to 1."""
    nodes, weights = numpy.polynomial.legendre.leggauss(_NODES)
    return (0.5 * (nodes + 1.0)).tolist(), (0.5 * weights).tolist()
