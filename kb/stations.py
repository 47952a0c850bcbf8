"""The probability that several linear quantities all lie within their limits at once.

Sealing lands share the gasket's thickness, pulleys share the block's datum: their chances do not multiply.
Given the shared error they do, so the product is integrated over it. With several shared errors rigorous
bounds are given instead. Standard library only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.measure import Term
from kb.sums import Chance, Sum

_TOLERANCE = 2e-5  # of the integral
_STATED = 1e-4  # error that an integrated answer admits to


class Form(NamedTuple):
    """One station: mean + sum of coeffs[key] * error[key], to lie within low..high (inclusive)."""

    mean: float
    coeffs: Mapping[str, float]
    low: float = -math.inf
    high: float = math.inf


class _Station(NamedTuple):
    low: float  # limits of the station's own error, before the shared one is taken off
    high: float
    factor: float  # of the shared error
    own: Sum


def p_all_stations(stations: Sequence[Form], errors: Mapping[str, Sequence[Term]]) -> Chance:
    """P(every station lies within its limits); the errors under different keys are independent.

    Stations without a common error multiply. A group that shares one error, or several that always enter in
    the same proportion, is integrated over it (error below 1e-4). A group that shares more gets the middle of the
    bounds max(0, 1 - sum(1 - p_i)) and min p_i, and `error` is half their distance. KeyError for a coefficient
    without an error.
    """
    low, high, calls, how = 1.0, 1.0, 0, "exact"
    for group in _connected(stations, errors):
        bounds, used, word = _group(group, errors)
        low, high, calls = low * bounds[0], high * bounds[1], calls + used
        how = word if how != "bounds" and word != "exact" else how
    error = 0.5 * (high - low) + (_STATED if how == "conditioned" else 0.0)
    return Chance(0.5 * (low + high), error, how, calls)


def _live(form: Form, errors: Mapping[str, Sequence[Term]]) -> list[str]:
    return [key for key, c in form.coeffs.items() if c and any(term.u for term in errors[key])]


def _connected(stations: Sequence[Form], errors: Mapping[str, Sequence[Term]]) -> list[list[Form]]:
    """Stations in groups that have no error in common."""
    groups: list[tuple[set[str], list[Form]]] = []
    for form in stations:
        keys, members = set(_live(form, errors)), [form]
        apart = []
        for group in groups:
            if group[0] & keys:
                keys |= group[0]
                members = group[1] + members
            else:
                apart.append(group)
        groups = [*apart, (keys, members)]
    return [members for _, members in groups]


def _sum(form: Form, keys: Sequence[str], errors: Mapping[str, Sequence[Term]]) -> Sum:
    return Sum(term.scaled(form.coeffs[key]) for key in keys for term in errors[key])


def _group(group: Sequence[Form], errors: Mapping[str, Sequence[Term]]) -> tuple[tuple[float, float], int, str]:
    live = [_live(form, errors) for form in group]
    if len(group) == 1:
        p = _sum(group[0], live[0], errors).between(group[0].low - group[0].mean, group[0].high - group[0].mean)
        return (p, p), 1, "exact"
    counts: dict[str, int] = {}
    for keys in live:
        for key in keys:
            counts[key] = counts.get(key, 0) + 1
    shared = [key for key, count in counts.items() if count > 1]
    scale, factors = _direction(group, shared)
    if factors is None:
        chances = [
            _sum(form, keys, errors).between(form.low - form.mean, form.high - form.mean)
            for form, keys in zip(group, live, strict=True)
        ]
        return (max(0.0, 1.0 - math.fsum(1.0 - p for p in chances)), min(chances)), len(group), "bounds"
    common = Sum(term.scaled(scale[key]) for key in shared for term in errors[key])
    members = [
        _Station(
            form.low - form.mean,
            form.high - form.mean,
            factor,
            _sum(form, [key for key in keys if counts[key] == 1], errors),
        )
        for form, factor, keys in zip(group, factors, live, strict=True)
    ]
    p, calls = _over_shared(members, common)
    return (p, p), calls, "conditioned"


def _direction(group: Sequence[Form], shared: Sequence[str]) -> tuple[dict[str, float], list[float] | None]:
    """How each shared error scales the one common error, and that error's factor in each station.

    None for the factors where the shared errors do not all enter the stations in the same proportion.
    """
    scale: dict[str, float] = {}
    factors: list[float] | None = None
    for key in shared:
        column = [form.coeffs.get(key, 0.0) for form in group]
        scale[key] = max(column, key=abs)
        ratios = [c / scale[key] for c in column]
        if factors is None:
            factors = ratios
        elif any(abs(a - b) > 1e-12 for a, b in zip(factors, ratios, strict=True)):
            return scale, None
    return scale, factors


def _over_shared(stations: Sequence[_Station], common: Sum) -> tuple[float, int]:
    """Integral of the density of the common error times the stations' chances given it; and its evaluations."""
    low, high = -common.reach, common.reach
    open_ones = []
    for station in stations:
        if station.own.u == 0.0 and station.factor:
            ends = sorted((station.low / station.factor, station.high / station.factor))
            low, high = max(low, ends[0]), min(high, ends[1])
        else:
            open_ones.append(station)
    if low > high:
        return 0.0, 0
    if not open_ones:
        inclusive = (low if low > -common.reach else -math.inf, high if high < common.reach else math.inf)
        return common.between(*inclusive), 1

    def given(s: float) -> float:
        product = common.density(s)
        for station in open_ones:
            if product == 0.0:
                break
            shift = station.factor * s
            product *= station.own.between(station.low - shift, station.high - shift)
        return product

    return _integral(given, _breaks(open_ones, common, low, high), _TOLERANCE)


def _breaks(stations: Sequence[_Station], common: Sum, low: float, high: float) -> list[float]:
    """Where the integrand may turn sharply: each station's limit with the width of its own error, and the middle."""
    points = {low, high, *(k * common.u for k in (-3.0, -1.5, 0.0, 1.5, 3.0))}
    for station in stations:
        if station.factor:
            width = station.own.u / abs(station.factor)
            for limit in (station.low, station.high):
                if math.isfinite(limit):
                    at = limit / station.factor
                    points |= {at - 2.0 * width, at, at + 2.0 * width}
    inner = sorted(point for point in points if low <= point <= high)
    # Points closer than this cannot hide a feature: every one of them is as wide as some station's error.
    gap = max(0.02 * common.u, 0.5 * min((s.own.u / abs(s.factor) for s in stations if s.factor), default=0.0))
    kept = [inner[0]]
    for point in inner[1:-1]:
        if point - kept[-1] > gap and inner[-1] - point > gap:
            kept.append(point)
    return [*kept, inner[-1]]


def _integral(f: Callable[[float], float], points: Sequence[float], tolerance: float) -> tuple[float, int]:
    """Adaptive Simpson over consecutive points; the value and the number of evaluations."""
    calls = 0
    total = 0.0
    whole = points[-1] - points[0]
    if whole <= 0.0:
        return 0.0, 0
    values = [f(point) for point in points]
    calls += len(points)
    for a, b, fa, fb in zip(points, points[1:], values, values[1:], strict=False):
        share = tolerance * max((b - a) / whole, 0.05)
        middle = f(0.5 * (a + b))
        calls += 1
        panels = [(a, b, fa, middle, fb, share, 0)]
        while panels:
            a0, b0, f0, fm, f1, allowed, depth = panels.pop()
            m = 0.5 * (a0 + b0)
            left, right = f(0.5 * (a0 + m)), f(0.5 * (m + b0))
            calls += 2
            coarse = (b0 - a0) / 6.0 * (f0 + 4.0 * fm + f1)
            fine = (b0 - a0) / 12.0 * (f0 + 4.0 * left + 2.0 * fm + 4.0 * right + f1)
            if abs(fine - coarse) <= 15.0 * allowed or depth >= 25:
                total += fine + (fine - coarse) / 15.0
            else:
                panels.append((a0, m, f0, left, fm, 0.5 * allowed, depth + 1))
                panels.append((m, b0, fm, right, f1, 0.5 * allowed, depth + 1))
    return min(max(total, 0.0), 1.0), calls
