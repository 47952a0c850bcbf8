"""Sums of independent errors on arrays: between which bounds the probability lies that a sum stays below a figure.

The same distributions as in `kb.sums`, for many cells at once: a normal part and some rectangular ones.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy
from numpy.typing import NDArray

from kb.chance import Settings
from kb.measure import Dimension

Array = NDArray[numpy.float64]

TAIL = 4.5  # standard uncertainties at which a normal error is cut off in a box of errors, as in kb.odds
# Of a sum of normal, rectangular and triangular errors at most 0.94 lies below 1.5 standard uncertainties, and at least
# 0.989 below 2.3: found with kb.sums over 1500 random mixes (0.9375 and 0.98928), no proof.
_INNER, _INNER_P = 1.5, 0.94
_OUTER, _OUTER_P = 2.3, 0.989
_TERMS = 160  # of the Fourier series
_CLOSED = 8  # rectangular errors alone up to which the exact formula serves
_EXACT = 2e-5  # what kb.sums and this series may differ by
_ROOT3, _ROOT6 = math.sqrt(3.0), math.sqrt(6.0)


class Column(NamedTuple):
    """One dimension of many parts. value: (n,) SI; variance: of the normal errors, (n,); halves: of the rectangular
    ones, (n, m), a triangular error being two; box: half width with normal errors cut at TAIL, (n,)."""

    value: Array
    variance: Array
    halves: Array
    box: Array

    @property
    def u(self) -> Array:
        found: Array = numpy.sqrt(self.variance + (self.halves**2).sum(axis=1) / 3.0)
        return found

    def at(self, index: NDArray[numpy.intp]) -> Column:
        return Column(self.value[index], self.variance[index], self.halves[index], self.box[index])


def column(dimensions: list[Dimension | None]) -> Column:
    """The dimensions as arrays; NaN where there is none."""
    count = len(dimensions)
    value, variance, box = numpy.full(count, math.nan), numpy.zeros(count), numpy.zeros(count)
    rows: list[list[float]] = []
    for at, one in enumerate(dimensions):
        halves: list[float] = []
        if one is not None:
            value[at] = one.value
            for term in one.terms:
                box[at] += min(term.half_width, TAIL * term.u)
                if term.shape == "normal":
                    variance[at] += term.u * term.u
                elif term.shape == "rectangular":
                    halves.append(term.u * _ROOT3)
                else:
                    halves += [term.u * _ROOT6 / 2.0] * 2
        rows.append([half for half in halves if half])
    width = max((len(row) for row in rows), default=0)
    table = numpy.zeros((count, width))
    for at, row in enumerate(rows):
        table[at, : len(row)] = row
    return Column(value, variance, table, box)


def usual_thresholds(settings: Settings) -> bool:
    """Whether the thresholds lie between the coarse bounds, so that most cells need no exact figure."""
    clear = 1e-3
    return _INNER_P + clear < settings.fits_at < _OUTER_P - clear and (
        1.0 - _OUTER_P + clear < settings.not_at < 1.0 - _INNER_P - clear
    )


def below(x: Array, variance: Array, halves: Array, coarse: bool) -> tuple[Array, Array]:
    """Bounds of P(sum of the errors <= x). coarse: far from the thresholds the bounds may be wide."""
    u = numpy.sqrt(variance + (halves**2).sum(axis=1) / 3.0)
    with numpy.errstate(divide="ignore", invalid="ignore"):
        t = numpy.where(u > 0.0, x / u, numpy.where(x >= 0.0, math.inf, -math.inf))
    size = numpy.abs(t)
    if coarse:
        near = (size > _INNER) & (size < _OUTER)
        low = numpy.where(t >= _OUTER, _OUTER_P, numpy.where(t <= -_OUTER, 0.0, 1.0 - _INNER_P))
        high = numpy.where(t >= _OUTER, 1.0, numpy.where(t <= -_OUTER, 1.0 - _OUTER_P, _INNER_P))
    else:
        near = size < 8.0
        low = (t > 0.0).astype(float)
        high = low.copy()
    at = numpy.flatnonzero(near)
    for start in range(0, len(at), 50_000):
        some = at[start : start + 50_000]
        p, off = _series(numpy.abs(x[some]), variance[some], halves[some])
        p = numpy.where(x[some] >= 0.0, p, 1.0 - p)
        low[some], high[some] = p - off, p + off
    sure = u == 0.0
    low[sure] = high[sure] = (x[sure] >= 0.0).astype(float)
    return numpy.clip(low, 0.0, 1.0), numpy.clip(high, 0.0, 1.0)


def _series(x: Array, variance: Array, halves: Array) -> tuple[Array, Array]:
    """P(sum <= x) for x >= 0, and how far off it may be: exact for a few rectangular errors alone, else a series."""
    p, off = numpy.empty(len(x)), numpy.empty(len(x))
    u = numpy.sqrt(variance + (halves**2).sum(axis=1) / 3.0)
    # The wide ones first; one that is next to nothing beside the whole is left out: at most 1e-5 of probability.
    order = -numpy.sort(-numpy.where(halves > 1e-4 * u[:, None], halves, 0.0), axis=1)
    count = (order > 0.0).sum(axis=1)
    todo = numpy.ones(len(x), dtype=bool)
    for several in range(1, min(order.shape[1], _CLOSED) + 1):
        some = numpy.flatnonzero((count == several) & (variance == 0.0))
        if len(some):
            p[some], off[some] = _rectangles(x[some], order[some, :several])
            todo[some] = off[some] > 1e-4
    rest = numpy.flatnonzero(todo)
    if len(rest):
        p[rest], off[rest] = _fourier(x[rest], variance[rest], order[rest])
    return p, off + _EXACT


def _rectangles(x: Array, halves: Array) -> tuple[Array, Array]:
    """The exact distribution of a few rectangular errors, and its rounding error: an m-fold difference of powers."""
    several = halves.shape[1]
    total = numpy.zeros(len(x))
    for signs in range(2**several):
        shift, sign = x.copy(), 1.0
        for at in range(several):
            if signs >> at & 1:
                shift -= halves[:, at]
                sign = -sign
            else:
                shift += halves[:, at]
        total += sign * numpy.maximum(shift, 0.0) ** several
    size = math.factorial(several) * numpy.prod(2.0 * halves, axis=1)
    reach = (x + halves.sum(axis=1)) ** several
    return numpy.clip(total / size, 0.0, 1.0), 3e-16 * 2**several * reach / size


def _fourier(x: Array, variance: Array, halves: Array) -> tuple[Array, Array]:
    """Fourier series of the density on the reach of the errors."""
    width = halves.sum(axis=1)
    u = numpy.sqrt(variance + (halves**2).sum(axis=1) / 3.0)
    reach = numpy.minimum(width + 7.0 * numpy.sqrt(variance), 7.0 * u)
    total, left = numpy.zeros(len(x)), numpy.ones(len(x))
    used = halves[:, halves.any(axis=0)] if halves.size else halves
    live = numpy.arange(len(x))  # rows whose series has not converged
    for k in range(1, _TERMS + 1):
        t = k * math.pi / reach[live]
        factor = numpy.exp(-0.5 * variance[live] * t * t)
        rest = factor.copy()
        for column_ in range(used.shape[1]):
            at = used[live, column_] * t
            factor *= numpy.sinc(at / math.pi)
            rest /= numpy.maximum(at, 1.0)
        total[live] += factor * numpy.sin(t * x[live]) / (k * math.pi)
        left[live] = rest
        if k % 4 == 0:
            live = live[rest > 1e-6]
            if not len(live):
                break
    return numpy.where(x >= reach, 1.0, 0.5 + x / (2.0 * reach) + total), left / math.pi * 2.0
