"""The probability that a computed quantity lies within its limits, and the verdict that follows.

The inputs' errors are independent, zero-mean and of known shape (`kb.measure.Term`). This module holds the
decision and what would settle it; the ways of finding a probability are gathered here from where they live:

    p_between, p_linear   a linear quantity: exact, or a series with an error below 1e-5     kb/sums.py
    p_smooth, propagate   a smooth function of a few inputs                                  kb/smooth.py
    p_all_stations        several linear quantities at once (a minimum over lands)           kb/stations.py
    monte_carlo, draw     anything; the reference, and the answer where the others doubt     kb/draws.py

Each `Chance` says whether to trust it. Standard library only; numpy is loaded when something is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from kb.draws import Sample, draw, monte_carlo
from kb.errors import Fault
from kb.measure import Dimension, Term, stack
from kb.smooth import Propagated, p_smooth, propagate
from kb.stations import Form, p_all_stations
from kb.sums import Chance, Sum, normal_cdf, normal_inverse, p_between

__all__ = [
    "FITS",
    "NOT",
    "OPEN",
    "Chance",
    "Form",
    "Needed",
    "Propagated",
    "Sample",
    "Settings",
    "Sum",
    "draw",
    "monte_carlo",
    "needed_u",
    "normal_cdf",
    "normal_inverse",
    "p_all_stations",
    "p_between",
    "p_linear",
    "p_smooth",
    "propagate",
    "shares",
    "verdict_of",
]

FITS, NOT, OPEN = "fits", "does not fit", "cannot tell"


class _SettingsRow(NamedTuple):
    fits_at: float
    not_at: float
    draws: int
    seed: int


class Settings(_SettingsRow):
    """The decision rule (JCGM 106) and the draws behind it. Fault unless 0 <= not_at < fits_at <= 1 and draws >= 1."""

    __slots__ = ()

    def __new__(cls, fits_at: float = 0.975, not_at: float = 0.025, draws: int = 100_000, seed: int = 1) -> Settings:
        if not 0.0 <= not_at < fits_at <= 1.0:
            raise Fault(
                f"thresholds {not_at!r} for 'does not fit' and {fits_at!r} for 'fits' cannot both hold",
                step="give 0 <= not_at < fits_at <= 1, for example 0.025 and 0.975",
            )
        if draws < 1 or seed < 0:
            raise Fault(f"{draws!r} draws with seed {seed!r} cannot be made", step="give draws >= 1 and seed >= 0")
        return super().__new__(cls, fits_at, not_at, draws, seed)


_USUAL = Settings()


def verdict_of(p: float, settings: Settings = _USUAL) -> str:
    """'fits' at or above fits_at, 'does not fit' at or below not_at, else 'cannot tell' (a NaN too)."""
    if p >= settings.fits_at:
        return FITS
    return NOT if p <= settings.not_at else OPEN


def p_linear(
    coeffs: Sequence[float], dims: Sequence[Dimension], low: float, high: float, constant: float = 0.0
) -> float:
    """P(low <= constant + sum of coeffs[i] * dims[i] <= high) for independent dimensions, limits inclusive."""
    whole = stack(coeffs, dims, constant)
    return p_between(whole.value, whole.terms, low, high)


def shares(slopes: Sequence[float], us: Sequence[float]) -> list[float]:
    """Each input's share of the variance of a linear(ised) quantity; all 0 where nothing is uncertain."""
    parts = [(slope * u) ** 2 for slope, u in zip(slopes, us, strict=True)]
    whole = math.fsum(parts)
    return [part / whole if whole else 0.0 for part in parts]


class Needed(NamedTuple):
    """The standard uncertainty of one input that would settle the question, and the verdict it would give."""

    u: float
    verdict: str


def needed_u(
    mean: float,
    slopes: Sequence[float],
    terms: Sequence[Sequence[Term]],
    which: int,
    low: float,
    high: float,
    *,
    shape: str = "rectangular",
    settings: Settings = _USUAL,
) -> Needed | None:
    """The widest standard uncertainty of input `which` that settles the verdict if no value moves.

    The quantity is `mean` plus slopes[i] times the errors terms[i]; a new reading of the input would have one
    error of the given shape. At most the input's present u is returned; None if even an exact reading of this
    input alone leaves 'cannot tell'. Accurate to a thousandth of the answer.
    """
    others = [term.scaled(g) for i, g in enumerate(slopes) if i != which for term in terms[i]]
    slope = slopes[which]
    now = math.sqrt(math.fsum(term.u * term.u for term in terms[which]))

    def verdict_at(u: float) -> str:
        return verdict_of(p_between(mean, [*others, Term(shape, u).scaled(slope)], low, high), settings)

    held = verdict_of(p_between(mean, [*others, *(t.scaled(slope) for t in terms[which])], low, high), settings)
    if held != OPEN:
        return Needed(now, held)
    settled = verdict_at(0.0)
    if settled == OPEN:
        return None
    if now > 0.0 and verdict_at(now) == settled:
        return Needed(now, settled)
    good, bad = 0.0, now
    for _ in range(60):
        if bad - good <= 1e-3 * good:
            break
        middle = 0.5 * (good + bad)
        good, bad = (middle, bad) if verdict_at(middle) == settled else (good, middle)
    return Needed(good, settled)
