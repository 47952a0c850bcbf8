"""What a gauge should show: each reading held against the accepted bands of its place (`kb/data/bands.json`).

Bounds are taken as exact; the reading's own error decides how sure the verdict is (decision rule as for the limits of a
rule). A band from memory, or of what is usual, never condemns.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise
from os.path import dirname, join
from typing import Any, NamedTuple

from kb import units
from kb.build import Build
from kb.chance import FITS, NOT, OPEN, Settings, p_between, verdict_of
from kb.gauges import CODE, GaugeReading, places
from kb.measure import Dimension, Reading
from kb.roles import base_role
from kb.sources import Source, source
from kb.standards.coolant import boiling_point

TIERS = ("low", "normal", "tolerated")
_SLACK = 1e-9  # share of a bound by which a reading may lie outside: figures are inclusive


class Band(NamedTuple):
    """An accepted band as it applies to one reading: bounds in SI, None where it is open. good, bad: codes."""

    id: str
    tier: str
    low: float | None
    high: float | None
    good: tuple[str, ...]
    bad: tuple[str, ...]
    usual: bool
    harm: str
    why: str
    source: Source

    @property
    def may_condemn(self) -> bool:
        return self.source.may_condemn and not self.usual

    def holds(self, value: float) -> bool:
        """Whether the figure lies inside, bounds included."""
        low, high = self.low, self.high
        return (low is None or value >= low - _SLACK * abs(low)) and (
            high is None or value <= high + _SLACK * abs(high)
        )  # fmt: skip


class BandFinding(NamedTuple):
    """What the bands say of one reading.

    low, high, tier, source: of the band that the verdict rests on (None and '' without one). because: 'limits',
    'spread', 'outside_usual', 'code', 'open' (something was not noted: see `waiting`) or 'no band'. probability: that
    the true value lies inside what may condemn. bands: all that apply, strictest first. waiting: what to note with the
    reading so that more of them apply ('speed', 'temperature', or role.feature).
    """

    reading: GaugeReading
    low: float | None
    high: float | None
    tier: str
    source: Source | None
    verdict: str
    because: str
    probability: float | None
    harm: str
    why: str
    bands: tuple[Band, ...]
    waiting: tuple[str, ...]


def judge_readings(
    build: Build, readings: Iterable[GaugeReading], settings: Settings | None = None
) -> list[BandFinding]:
    """Every reading held against its bands, in the order given. build: says which bands apply, and some bounds."""
    thresholds = settings or Settings()
    return [judge_reading(build, each, thresholds) for each in readings]


def judge_reading(build: Build, reading: GaugeReading, settings: Settings) -> BandFinding:
    """One reading held against its bands."""
    bands, waiting = bands_for(build, reading)
    if isinstance(reading.value, str):
        return _code(reading, reading.value, bands, waiting)
    found = [each for each in bands if each.low is not None or each.high is not None]
    if not found:
        because = "open" if waiting else "no band"
        return BandFinding(reading, None, None, "", None, OPEN, because, None, "", "", bands, waiting)
    value = reading.value
    hard = [each for each in found if each.may_condemn]
    probability, verdict = None, FITS
    if hard:
        low = _widest([each.low for each in hard], min)
        high = _widest([each.high for each in hard], max)
        error = _term(reading)
        probability = p_between(value, (error,) if error.u else (), _eased(low, -1), _eased(high, 1))
        verdict = verdict_of(probability, settings)
    kept = next((each for each in found if each.holds(value)), None)
    broken = [each for each in found if not each.holds(value)]
    if verdict == FITS:
        soft = [each for each in broken if each.tier != "low" and not each.may_condemn]
        if soft:
            return _made(reading, soft[0], OPEN, "outside_usual", probability, bands, waiting)
        if waiting:
            return _made(reading, kept or found[0], OPEN, "open", probability, bands, waiting)
        return _made(reading, kept or found[0], FITS, "limits", probability, bands, waiting)
    because = "limits" if verdict == NOT else "spread"
    deciding = [each for each in hard if not each.holds(value)] or sorted(hard, key=lambda each: _near(each, value))
    return _made(reading, deciding[-1], verdict, because, probability, bands, waiting)


def bands_for(build: Build, reading: GaugeReading) -> tuple[tuple[Band, ...], tuple[str, ...]]:
    """The bands that apply to a reading, strictest first, and what would have to be noted for others to apply."""
    found: list[Band] = []
    waiting: list[str] = []
    for row in _rows():
        if reading.place not in row["places"] or (reading.state and reading.state not in row["states"]):
            continue
        has = _has(row.get("with", {}), build)
        taken = _taken_at(row, reading)
        if has is False or taken is None:
            continue
        made = has if isinstance(has, str) else _band(row, reading, build)
        if isinstance(made, str):
            waiting.append(made)
        elif taken and not (isinstance(reading.value, float) and made.holds(reading.value)):
            waiting.extend(taken)  # what lies inside holds whatever it was taken at
        else:
            found.append(made)
    return tuple(sorted(found, key=lambda each: TIERS.index(each.tier))), tuple(dict.fromkeys(waiting))


@lru_cache(maxsize=1)
def _rows() -> tuple[Mapping[str, Any], ...]:
    with open(join(dirname(dirname(__file__)), "data", "bands.json"), encoding="utf-8") as file:
        return tuple(json.load(file)["bands"])


def declared() -> tuple[Mapping[str, Any], ...]:
    """The rows of the data file, for tests and documentation."""
    return _rows()


def _has(wanted: Mapping[str, Any], build: Build) -> bool | str:
    """Whether the build has what the band is for; the feature that would say so, where nobody recorded it."""
    if not wanted:
        return True
    name, _, feature = str(wanted.get("filled") or wanted["is"]).partition(".")
    part = next((part for role, part in build.parts.items() if base_role(role) == name), None)
    if part is None or not feature:
        return part is not None
    value = part.facts.get(feature)
    return f"{name}.{feature}" if value is None else value in wanted["one_of"]


def _taken_at(row: Mapping[str, Any], reading: GaugeReading) -> tuple[str, ...] | None:
    """What was not noted of speed and temperature; None when the band is for others than the reading was taken at."""
    lacking: list[str] = []
    for name, have in (("speed", reading.speed), ("temperature", reading.temperature)):
        if name not in row:
            continue
        low, high = (None if each is None else units.parse(each, name).value for each in row[name])
        if have is None:
            lacking.append(name)
        elif (low is not None and have < low - 1e-9) or (high is not None and have > high + 1e-9):
            return None
    return tuple(lacking)


def _band(row: Mapping[str, Any], reading: GaugeReading, build: Build) -> Band | str:
    """The band with its bounds in SI, or what must be noted or recorded before it has any."""
    quantity = places()[reading.place].quantity
    low, high = (_figure(row.get(name), quantity) for name in ("low", "high"))
    if "low_per_speed" in row:
        if reading.speed is None:
            return "speed"
        pressure, speed = row["low_per_speed"]
        low = units.parse(pressure, quantity).value / units.parse(speed, "speed").value * reading.speed
    for name in ("low_of", "high_of"):
        if name in row:
            value = _feature(row[name], build)
            if value is None:
                return str(row[name])
            low, high = (value, high) if name == "low_of" else (low, value)
    if "boiling" in row:
        cap, glycol = _feature("radiator.cap_pressure", build), _feature("coolant_circuit.glycol", build)
        if cap is None:
            return "radiator.cap_pressure"
        less = units.parse(row["boiling"], "temperature_difference").value
        # Without a word on antifreeze it is water, which boils first.
        high = float(boiling_point(cap, glycol or 0.0)) - less
    return Band(
        row["id"], row["tier"], low, high, tuple(row.get("good", ())), tuple(row.get("bad", ())),
        bool(row.get("usual")), row["harm"], row["why"], source(row["source"]),
    )  # fmt: skip


def _figure(text: str | None, quantity: str) -> float | None:
    return None if text is None else units.parse(text, quantity).value


def _feature(path: str, build: Build) -> float | None:
    name, _, feature = path.partition(".")
    part = next((part for role, part in build.parts.items() if base_role(role) == name), None)
    value = part.facts.get(feature) if part else None
    return value.value if isinstance(value, Dimension) else None


def _code(reading: GaugeReading, value: str, bands: Sequence[Band], waiting: tuple[str, ...]) -> BandFinding:
    """What is seen, without a figure: a code that some band calls good or bad."""
    for each in bands:
        if value in each.bad:
            verdict = NOT if each.may_condemn else OPEN
            return _made(reading, each, verdict, "code", None, tuple(bands), waiting)
    for each in bands:
        if value in each.good:
            return _made(reading, each, FITS, "code", None, tuple(bands), waiting)
    because = "no band" if not bands else "open"
    return BandFinding(reading, None, None, "", None, OPEN, because, None, "", "", tuple(bands), waiting)


def _made(
    reading: GaugeReading, band: Band, verdict: str, because: str, probability: float | None,
    bands: tuple[Band, ...], waiting: tuple[str, ...],
) -> BandFinding:  # fmt: skip
    return BandFinding(
        reading, band.low, band.high, band.tier, band.source, verdict, because, probability, band.harm, band.why, bands,
        waiting,
    )  # fmt: skip


def _term(reading: GaugeReading) -> Any:
    """The error of the reading; what a measured figure without a word on it is taken to have, where nobody said."""
    assert isinstance(reading.value, float)
    quantity = reading.quantity if reading.quantity != CODE else "number"
    return Reading(reading.value, reading.half, instrument=reading.tool if reading.half is None else "").term(quantity)


def _widest(bounds: Sequence[float | None], pick: Any) -> float | None:
    """The bound that the most tolerant band sets; bands that leave the side open say nothing of it."""
    known = [each for each in bounds if each is not None]
    return pick(known) if known else None


def _eased(bound: float | None, way: int) -> float:
    return way * math.inf if bound is None else bound + way * _SLACK * abs(bound)


def _near(band: Band, value: float) -> float:
    return -min(abs(value - each) for each in (band.low, band.high) if each is not None)


# -- several starts ---------------------------------------------------------------------------------------------------


class Series(NamedTuple):
    """Readings of one place, taken in one state of the engine and held against the same bands, oldest first."""

    place: str
    state: str
    found: tuple[BandFinding, ...]


def series(found: Iterable[BandFinding], least: int = 2) -> list[Series]:
    """Those places that were read at least so often in like conditions, in the order of their first reading."""
    groups: dict[tuple[str, ...], list[BandFinding]] = {}
    for each in found:
        if isinstance(each.reading.value, float):
            key = (each.reading.place, each.reading.state, *(band.id for band in each.bands))
            groups.setdefault(key, []).append(each)
    return [
        Series(key[0], key[1], tuple(sorted(several, key=_when)))
        for key, several in groups.items()
        if len(several) >= least
    ]


def steady(found: Sequence[BandFinding]) -> bool:
    """Whether at least four figures go one way throughout: chance alone seldom does that."""
    steps = [value_of(after) - value_of(before) for before, after in pairwise(found)]
    return len(steps) >= 3 and (all(step > 0 for step in steps) or all(step < 0 for step in steps))


def value_of(each: BandFinding) -> float:
    """The figure that was read, SI; only for readings that have one."""
    assert isinstance(each.reading.value, float)
    return each.reading.value


def half_of(each: BandFinding) -> float:
    """Half width of the reading's error, 0 where nobody said."""
    return each.reading.half or 0.0


def _when(each: BandFinding) -> tuple[int, str, str]:
    return each.reading.start or 0, each.reading.date, each.reading.id
