"""How a sum of independent errors is spread: normal, rectangular and triangular ones in any mix.

A triangular error is the sum of two rectangular ones of half its width, and normal errors add to one
normal error, so every sum here is one normal part plus m rectangular parts. Few parts have an exact
formula; many parts have a Fourier series that converges in a handful of terms. Standard library only.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from kb.measure import Term

_ROOT2 = math.sqrt(2.0)
_ROOT2PI = math.sqrt(2.0 * math.pi)
_ROOT3 = math.sqrt(3.0)
_ROOT6 = math.sqrt(6.0)
_EPS = 2.3e-16
_CLOSED_ERROR = 1e-8  # largest rounding error let through the exact formula
_SERIES_ERROR = 1e-8  # where the Fourier series is cut off
_FOLD = 1e-4  # rectangular parts this small beside the whole are taken as normal: error below 2e-6
_FOLD_MORE = 2e-3  # the same as a last resort before a very long series: error below 3e-5


TRUSTED_ERROR = 0.005  # an answer that may be further off is not trusted


class Chance(NamedTuple):
    """A probability, how far off it may be, and how it was found (a word for the log, not for people).

    `slopes` (smooth quantities only) holds the change of the quantity per standard uncertainty of each input.
    """

    p: float
    error: float
    how: str
    evaluations: int = 0
    slopes: tuple[float, ...] = ()

    @property
    def trusted(self) -> bool:
        """True when the error estimate is at most 0.005; otherwise draw (`kb.draws`)."""
        return self.error <= TRUSTED_ERROR


def normal_cdf(z: float) -> float:
    """P(standard normal <= z), with full relative accuracy in the lower tail."""
    return 0.5 * math.erfc(-z / _ROOT2)


def normal_inverse(p: float) -> float:
    """The z with normal_cdf(z) = p, for p in [0, 1]; infinite at the ends. ValueError outside.

    Start: Abramowitz and Stegun 26.2.23; then Halley steps on erfc to full accuracy.
    """
    if not 0.0 <= p <= 1.0:
        raise ValueError(f"a probability lies between 0 and 1, not at {p!r}")
    if p in (0.0, 1.0):
        return math.inf if p else -math.inf
    tail = min(p, 1.0 - p)
    t = math.sqrt(-2.0 * math.log(tail))
    above = 2.515517 + t * (0.802853 + t * 0.010328)
    z = above / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308))) - t
    for _ in range(3):
        slope = math.exp(-0.5 * z * z) / _ROOT2PI
        if slope == 0.0:
            break
        miss = (normal_cdf(z) - tail) / slope
        z -= miss / (1.0 + 0.5 * z * miss)
    return z if p <= 0.5 else -z


def _normal_between(low: float, high: float) -> float:
    """P(low <= standard normal <= high) without loss in either tail."""
    if low > 0.0:
        low, high = -high, -low
    return 0.5 * (math.erfc(-high / _ROOT2) - math.erfc(-low / _ROOT2))


class Sum:
    """The distribution of a sum of independent zero-mean errors, prepared once, asked often.

    `u` is its standard uncertainty, `support` its half width (infinite with a normal part), `reach` the
    half width beyond which less than 1e-10 of it lies. It is symmetric about zero.
    """

    __slots__ = ("_closed", "_half_period", "_series", "order", "reach", "sigma", "support", "u")

    def __init__(self, terms: Iterable[Term], scale: float = 1.0) -> None:
        variance = 0.0
        halves: list[float] = []
        for shape, u in terms:
            u = abs(u * scale)
            if u == 0.0:
                continue
            if shape == "normal":
                variance += u * u
            elif shape == "rectangular":
                halves.append(u * _ROOT3)
            elif shape == "triangular":
                halves += (u * _ROOT6 / 2.0,) * 2
            else:
                raise ValueError(f"no error has the shape {shape!r}")
        total = variance + sum(half * half for half in halves) / 3.0
        self.u = math.sqrt(total)
        width = math.fsum(halves)
        self.support = math.inf if variance else width
        self._closed: list[tuple[float, float]] = []
        self._series: list[tuple[float, float]] = []
        self._half_period = 0.0
        halves.sort()
        if halves:
            variance = self._fold(halves, variance, _FOLD)
        self.sigma = math.sqrt(variance)
        self.order = len(halves)
        # Uniform errors are strictly sub-Gaussian, so 7 u bounds every such sum: 2 exp(-24.5) = 5e-11.
        self.reach = min(width + 7.0 * self.sigma, 7.0 * self.u)
        if halves:
            self._prepare(halves)

    def _fold(self, halves: list[float], variance: float, share: float) -> float:
        """Take the smallest of the ascending `halves` into the normal part; the new variance of that part."""
        spent, most = 0.0, (share * self.u) ** 2
        while halves and spent + halves[0] ** 2 / 3.0 <= most:
            spent += halves.pop(0) ** 2 / 3.0
        return variance + spent

    def _prepare(self, halves: list[float]) -> None:
        cheap = self.order <= 3 or (self.sigma == 0.0 and self.order <= 6)
        if cheap and self._prepare_closed(halves):
            return
        if self._prepare_series(halves, 200) or (self.order <= 9 and self._prepare_closed(halves)):
            return
        self.sigma = math.sqrt(self._fold(halves, self.sigma**2, _FOLD_MORE))
        self.order = len(halves)
        if halves and not (self.order <= 9 and self._prepare_closed(halves)):
            self._prepare_series(halves, 20_000)

    def _prepare_closed(self, halves: list[float]) -> bool:
        """Offsets and weights of the exact formula; False where rounding would spoil it.

        The m-fold difference of the m-fold integral of the normal cdf, divided by the widths.
        """
        widths = math.prod(2.0 * half for half in halves)
        biggest = (2.0 * (math.fsum(halves) + 3.0 * self.sigma)) ** self.order / math.factorial(self.order)
        if not widths > 0.0 or _EPS * biggest > _CLOSED_ERROR * widths:
            return False
        shifts: dict[float, float] = {0.0: 1.0 / widths}
        for half in halves:
            following: dict[float, float] = {}
            for at, weight in shifts.items():
                following[at + half] = following.get(at + half, 0.0) + weight
                following[at - half] = following.get(at - half, 0.0) - weight
            shifts = following
        self._closed = [(at, weight) for at, weight in shifts.items() if weight]
        return True

    def _prepare_series(self, halves: list[float], most: int) -> bool:
        """Fourier coefficients of the density on [-reach, reach]; False if `most` are not enough."""
        half_period = self.reach
        series = []
        for k in range(1, most + 1):
            t = k * math.pi / half_period
            value = envelope = math.exp(-0.5 * (self.sigma * t) ** 2)
            for half in halves:
                at = half * t
                value *= math.sin(at) / at
                if at > 1.0:
                    envelope /= at
            series.append((t, value / (k * math.pi)))
            if envelope < _SERIES_ERROR:
                break
        else:
            if most < 1000:
                return False
        self._series, self._half_period = series, half_period
        return True

    def _integral(self, x: float, order: int) -> float:
        """The `order`-fold integral from minus infinity to x of the normal part's cdf (order -1: its density)."""
        sigma = self.sigma
        if sigma == 0.0:
            if x <= 0.0:
                return 0.0
            return x**order / math.factorial(order)
        z = x / sigma
        before = math.exp(-0.5 * z * z) / (sigma * _ROOT2PI) if abs(z) < 38.0 else 0.0
        if order < 0:
            return before
        value = 0.5 * math.erfc(-z / _ROOT2)
        for n in range(1, order + 1):
            before, value = value, (x * value + sigma * sigma * before) / n
        return value

    def cdf(self, x: float) -> float:
        """P(sum <= x)."""
        if self.u == 0.0:
            return 1.0 if x >= 0.0 else 0.0
        if x > 0.0:
            return 1.0 - self.cdf(-x)
        if not self.order:
            return normal_cdf(x / self.sigma)
        if x <= -self.reach:
            return 0.0
        if self._closed:
            order = self.order
            value = math.fsum(weight * self._integral(x + at, order) for at, weight in self._closed)
        else:
            value = 0.5 + x / (2.0 * self._half_period)
            value += math.fsum(weight * math.sin(t * x) for t, weight in self._series)
        return min(max(value, 0.0), 0.5)

    def density(self, x: float) -> float:
        """Probability per unit of x; ValueError for an exact sum, which has none."""
        if self.u == 0.0:
            raise ValueError("an exact value has no density")
        if not self.order:
            return self._integral(x, -1)
        if abs(x) > self.reach:
            return 0.0
        if self._closed:
            if self.order == 1 and self.sigma == 0.0:
                return self._closed[0][1]
            x = -abs(x)
            value = math.fsum(weight * self._integral(x + at, self.order - 1) for at, weight in self._closed)
        else:
            value = 0.5 / self._half_period + math.fsum(weight * t * math.cos(t * x) for t, weight in self._series)
        return max(value, 0.0)

    def between(self, low: float, high: float) -> float:
        """P(low <= sum <= high); exactly 0 or 1 where the bounded support decides it."""
        if low > high:
            return 0.0
        support = self.support
        if low <= -support and high >= support:
            return 1.0
        if low > support or high < -support:
            return 0.0
        if not self.order:
            return _normal_between(low / self.sigma, high / self.sigma)
        if low > 0.0:
            low, high = -high, -low
        return min(max(self.cdf(high) - self.cdf(low), 0.0), 1.0)


def p_between(mean: float, terms: Iterable[Term], low: float, high: float) -> float:
    """P(low <= mean + sum of errors <= high), limits inclusive, either of them infinite.

    Any slack is the caller's. Exact for normal errors alone and for up to three rectangular parts beside
    them (six without a normal part); otherwise a Fourier series, absolute error below 1e-5.
    ValueError on a NaN among the figures.
    """
    if math.isnan(mean) or math.isnan(low) or math.isnan(high):
        raise ValueError("a probability needs a value and limits that are numbers")
    return Sum(terms).between(low - mean, high - mean)
