"""Dimensions: a value with its errors, how it is known, and how several readings of one feature combine.

All figures are SI. An error is a zero-mean `Term`; a `Dimension` is a value plus independent terms.
Guide followed: JCGM 100 (4.3.7 and 4.3.9 for shapes, 5.1 and 5.2 for combination).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from kb.errors import Fault, unknown

SHAPES = ("normal", "rectangular", "triangular")
HOWS = ("drawing", "listing", "measured", "estimated", "definition", "combined", "user")
CONTRADICTION = 2.5  # in standard uncertainties of the difference: one honest pair in 80 is this far apart

# Half width over standard uncertainty. JCGM 100 4.3.7 (rectangular), 4.3.9 (triangular), 4.4.5; a normal
# half width is taken as the expanded uncertainty with k = 2. Arcsine is known for propagation only.
_DIVISORS = {"normal": 2.0, "rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0), "arcsine": math.sqrt(2.0)}


class Term(NamedTuple):
    """One zero-mean error: its shape (one of SHAPES) and its standard uncertainty."""

    shape: str
    u: float

    @property
    def half_width(self) -> float:
        """Where the error ends: u*sqrt(3) rectangular, u*sqrt(6) triangular, infinite for a normal one."""
        if self.u == 0.0:
            return 0.0
        return math.inf if self.shape == "normal" else self.u * _DIVISORS[self.shape]

    def scaled(self, factor: float) -> Term:
        """The error of `factor` times the quantity."""
        return Term(self.shape, self.u * abs(factor))


class Reading(NamedTuple):
    """One statement of a feature's value. `u` goes before `half_width`; with neither, the defaults' table speaks."""

    value: float
    half_width: float | None = None
    u: float | None = None
    shape: str = "rectangular"
    how: str = "measured"
    source: str = ""
    instrument: str = ""
    date: str = ""
    by: str = ""
    text: str = ""  # as written, with its unit
    place: str = ""
    supersedes: bool = False  # every reading listed before it is set aside

    def term(self, quantity: str = "length") -> Term:
        """The error of this reading alone."""
        if self.u is not None:
            return Term(_shape(self.shape), _not_negative("standard uncertainty", self.u, self.place))
        if self.half_width is not None:
            return Term(self.shape, standard_uncertainty(self.half_width, self.shape, place=self.place))
        return default_uncertainty(self.how, self.instrument, self.value, quantity=quantity)

    def origin(self) -> str:
        """Who and what says so: instrument or kind of knowledge, source, person, date."""
        known = self.instrument or self.how
        return ", ".join(part for part in (known, self.source, self.by, self.date) if part)


class Dimension(NamedTuple):
    """A value with independent errors, as a computation uses it; no terms means exact."""

    value: float
    terms: tuple[Term, ...] = ()
    how: str = "definition"
    source: str = ""
    instrument: str = ""
    date: str = ""
    text: str = ""
    contradiction: str = ""  # words, when readings of the feature disagree
    readings: tuple[Reading, ...] = ()

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        return math.sqrt(math.fsum(term.u * term.u for term in self.terms))

    @property
    def half_width(self) -> float:
        """Worst case: the sum of the terms' half widths, infinite with a normal term."""
        return math.fsum(term.half_width for term in self.terms)

    @property
    def low(self) -> float | None:
        """Least possible value, None if unbounded."""
        half = self.half_width
        return None if math.isinf(half) else self.value - half

    @property
    def high(self) -> float | None:
        """Greatest possible value, None if unbounded."""
        half = self.half_width
        return None if math.isinf(half) else self.value + half


class Instrument(NamedTuple):
    """A row of the instruments' table. The half width of a reading is half_width + relative * |value|."""

    id: str
    name: str
    measures: tuple[str, ...]
    half_width: float
    relative: float
    shape: str
    resolution: float
    minutes: float
    where: tuple[str, ...]
    cost: str
    hold: str
    origin: str

    def half_width_at(self, value: float) -> float:
        """Half width of one reading of `value`."""
        return self.half_width + self.relative * abs(value)

    def u_at(self, value: float) -> float:
        """Standard uncertainty of one reading of `value`."""
        return standard_uncertainty(self.half_width_at(value), self.shape)


class Default(NamedTuple):
    """The spread of a figure that states none. `length_half_width` counts for lengths only."""

    id: str
    length_half_width: float
    relative: float
    shape: str
    origin: str
    meaning: str


@lru_cache(maxsize=1)
def _table() -> Mapping[str, Any]:
    import json
    from os.path import dirname, join

    with open(join(dirname(__file__), "data", "instruments.json"), encoding="utf-8") as file:
        table: Mapping[str, Any] = json.load(file)
    return table


@lru_cache(maxsize=1)
def instruments() -> Mapping[str, Instrument]:
    """The instruments by id, in the order of the data file."""
    rows: list[dict[str, Any]] = _table()["instruments"]
    return {
        row["id"]: Instrument(**{**row, "measures": tuple(row["measures"]), "where": tuple(row["where"])})
        for row in rows
    }


@lru_cache(maxsize=1)
def defaults() -> Mapping[str, Default]:
    """How wide a figure without a stated tolerance is taken to be, by how it is known."""
    return {row["id"]: Default(**row) for row in _table()["defaults"]}


def find_instrument(name: str, *, place: str = "") -> Instrument:
    """The instrument with this id or name; UnknownName says what is near."""
    table = instruments()
    found = table.get(name) or next((row for row in table.values() if row.name == name), None)
    if found is None:
        raise unknown("instrument", name, table, place=place)
    return found


def instruments_for(measures: str, value: float, u: float = math.inf, *, where: str = "") -> list[Instrument]:
    """Instruments that read `measures` at `value` with a standard uncertainty of at most `u`, quickest first.

    `measures` is a word of the table such as "depth" or "voltage"; `where` keeps "yard", "bench" or "car".
    """
    fit = (
        row
        for row in instruments().values()
        if measures in row.measures and (not where or where in row.where) and row.u_at(value) <= u
    )
    return sorted(fit, key=lambda row: (row.minutes, row.u_at(value)))


def _shape(shape: str, place: str = "") -> str:
    if shape not in SHAPES:
        raise Fault(f"no error has the shape {shape[:40]!r}", place=place, step=f"use one of {', '.join(SHAPES)}")
    return shape


def _not_negative(what: str, figure: float, place: str = "") -> float:
    if not 0.0 <= figure < math.inf:
        raise Fault(f"a {what} of {figure!r} makes no sense", place=place, step="give a finite number, zero or above")
    return figure


def standard_uncertainty(half_width: float, shape: str = "rectangular", *, place: str = "") -> float:
    """Standard uncertainty of +/- `half_width`, in the same unit.

    rectangular a/sqrt(3) (JCGM 100 4.3.7), triangular a/sqrt(6) (4.3.9), normal a/2 (the half width is taken
    as expanded with k = 2), arcsine a/sqrt(2). Fault for a negative or infinite width or another shape.
    """
    if shape not in _DIVISORS:
        _shape(shape, place)
    return _not_negative("tolerance", half_width, place) / _DIVISORS[shape]


def default_uncertainty(how: str, instrument: str, value: float, *, quantity: str = "length") -> Term:
    """The error of a figure that states none: the instrument's row, else the row of how it is known.

    `quantity` other than "length" leaves out the fixed part of the defaults, which is in metres.
    """
    if instrument:
        row = find_instrument(instrument)
        return Term(row.shape, row.u_at(value))
    table = defaults()
    if how not in table:
        raise unknown("way of knowing a dimension", how, table)
    default = table[how]
    half = default.relative * abs(value) + (default.length_half_width if quantity == "length" else 0.0)
    return Term(default.shape, standard_uncertainty(half, default.shape))


def stack(coeffs: Sequence[float], dims: Sequence[Dimension], constant: float = 0.0) -> Dimension:
    """constant + sum of coeffs[i] * dims[i], every error kept with its shape; `half_width` is its worst case.

    The dimensions are independent: one that occurs twice must be given once, with its coefficients added.
    """
    value = math.fsum([constant, *(c * d.value for c, d in zip(coeffs, dims, strict=True))])
    terms = tuple(term.scaled(c) for c, d in zip(coeffs, dims, strict=True) if c for term in d.terms)
    return Dimension(value, terms, "combined")


def combine_linear(
    coeffs: Sequence[float],
    us: Sequence[float],
    correlation: float | Sequence[Sequence[float]] | Mapping[tuple[int, int], float] = 0.0,
) -> float:
    """Standard uncertainty of sum c_i x_i: sqrt(sum_ij c_i c_j r_ij u_i u_j) (JCGM 100 5.2.2).

    `correlation` is one r for every pair (1.0: one instrument's bias in all of them), a full matrix, or a
    mapping from index pairs to r with 0 elsewhere. ValueError for unequal lengths or an impossible r.
    """
    parts = [c * u for c, u in zip(coeffs, us, strict=True)]
    products = [part * part for part in parts]
    for i in range(len(parts)):
        for j in range(i):
            if isinstance(correlation, Mapping):
                r = correlation.get((i, j), correlation.get((j, i), 0.0))
            elif isinstance(correlation, Sequence):
                r = correlation[i][j]
            else:
                r = correlation
            if not -1.0 <= r <= 1.0:
                raise ValueError(f"a correlation lies between -1 and 1, not at {r!r}")
            products += [r * parts[i] * parts[j]] * 2
    return _root(products)


def _root(products: list[float]) -> float:
    variance = math.fsum(products)
    if variance < -1e-9 * math.fsum(abs(product) for product in products):
        raise ValueError("these correlations contradict each other: the variance comes out negative")
    return math.sqrt(max(variance, 0.0))


def _plain(value: float) -> str:
    return f"{value:.6g}"


def combine(
    readings: Iterable[Reading],
    *,
    quantity: str = "length",
    measures: str = "",
    threshold: float = CONTRADICTION,
    show: Callable[[float], str] = _plain,
) -> Dimension:
    """One dimension from the readings of one feature, in the order in which they were taken.

    Agreeing readings are weighted by inverse variance and each one's error keeps its shape. Readings by one
    person with one instrument share its error, so repeating them does not narrow it (JCGM 100 5.2.2). If any pair
    lies further apart than `threshold` standard uncertainties of their difference, or if two bounded supports
    do not touch, nothing is averaged: the result spans all of them and `contradiction` says so.
    `measures` names what to look for in the instruments' table; `show` puts a value into words with its unit.
    Fault without readings, or for a figure that is not a finite number.
    """
    kept: list[Reading] = []
    for reading in readings:
        if not math.isfinite(reading.value):
            raise Fault(f"a reading of {reading.value!r} is not a number", place=reading.place, step="read it again")
        if reading.supersedes:
            kept.clear()
        kept.append(reading)
    if not kept:
        raise Fault("there is no reading of this feature", step="measure it, or give a figure with its tolerance")
    terms = [reading.term(quantity) for reading in kept]
    if len(kept) == 1:
        one = kept[0]
        held = (terms[0],) if terms[0].u else ()
        return Dimension(one.value, held, one.how, one.source, one.instrument, one.date, one.text, "", (one,))
    words = _contradiction(kept, terms, threshold, measures, show)
    value, spread = _span(kept, terms) if words else _weighted(kept, terms)
    return Dimension(
        value,
        spread,
        "combined",
        _joined(reading.source for reading in kept),
        _joined(reading.instrument for reading in kept),
        max(reading.date for reading in kept),
        "",
        words,
        tuple(kept),
    )


def _joined(words: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(word for word in words if word))


def _weights(us: Sequence[float]) -> list[float]:
    """Inverse-variance weights that add to one; exact figures leave nothing for the others."""
    exact = sum(u == 0.0 for u in us)
    if exact:
        return [1.0 / exact if u == 0.0 else 0.0 for u in us]
    least = min(us)
    raw = [(least / u) ** 2 for u in us]
    total = math.fsum(raw)
    return [weight / total for weight in raw]


def _weighted(readings: Sequence[Reading], terms: Sequence[Term]) -> tuple[float, tuple[Term, ...]]:
    groups: dict[object, list[int]] = {}
    for at, reading in enumerate(readings):
        shared = reading.how == "measured" and reading.instrument
        groups.setdefault((reading.instrument, reading.by) if shared else at, []).append(at)
    values, errors = [], []
    for members in groups.values():
        weights = _weights([terms[at].u for at in members])
        values.append(math.fsum(w * readings[at].value for w, at in zip(weights, members, strict=True)))
        u = math.fsum(w * terms[at].u for w, at in zip(weights, members, strict=True))
        errors.append(Term(max((terms[at] for at in members), key=lambda term: term.u).shape, u))
    weights = _weights([error.u for error in errors])
    value = math.fsum(w * v for w, v in zip(weights, values, strict=True))
    return value, tuple(error.scaled(w) for w, error in zip(weights, errors, strict=True) if w and error.u)


def _end(term: Term) -> float:
    """How far from its value a reading speaks for: the support, or 2 u of a normal error."""
    return 2.0 * term.u if term.shape == "normal" else term.half_width


def _span(readings: Sequence[Reading], terms: Sequence[Term]) -> tuple[float, tuple[Term, ...]]:
    low = min(reading.value - _end(term) for reading, term in zip(readings, terms, strict=True))
    high = max(reading.value + _end(term) for reading, term in zip(readings, terms, strict=True))
    return 0.5 * (low + high), (Term("rectangular", standard_uncertainty(0.5 * (high - low))),)


def _contradiction(
    readings: Sequence[Reading],
    terms: Sequence[Term],
    threshold: float,
    measures: str,
    show: Callable[[float], str],
) -> str:
    """The worst pair that disagrees, in words with what to do; empty if all agree."""
    pairs = []
    for j, (second, error) in enumerate(zip(readings, terms, strict=True)):
        for i in range(j):
            apart = abs(readings[i].value - second.value)
            # Figures that are the same but for rounding of the last binary digits agree.
            if apart <= 1e-12 * abs(second.value):
                continue
            both = math.hypot(terms[i].u, error.u)
            ratio = apart / both if both else math.inf
            reach = terms[i].half_width + error.half_width
            if ratio > threshold or apart > reach + 1e-12 * abs(second.value):
                pairs.append((ratio, readings[i], second))
    if not pairs:
        return ""
    ratio, first, second = max(pairs, key=lambda pair: pair[0])
    times = f", {ratio:.1f} times its standard uncertainty" if math.isfinite(ratio) else ""
    more = f" ({len(pairs) - 1} further pairs disagree too)" if len(pairs) > 1 else ""
    best = min(
        (row for row in instruments().values() if measures in row.measures),
        key=lambda row: row.u_at(second.value),
        default=None,
    )
    tool = f"a {best.name}" if best else "a finer instrument"
    return (
        f"two readings disagree: {first.text or show(first.value)} ({first.origin()}) and "
        f"{second.text or show(second.value)} ({second.origin()}); "
        f"the difference is {show(abs(first.value - second.value))}{times}{more}. "
        f"Neither is taken: measure again with {tool} and mark the new reading as superseding these"
    )
