"""What the bands say of readings, in words."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb import units
from kb.build import Build
from kb.chance import FITS, NOT, OPEN
from kb.errors import visible
from kb.explain import CAUTION, probability
from kb.gauges import CODE, places
from kb.ready.bands import Band, BandFinding, Series, half_of, series, steady, value_of
from kb.rules._rule import HARMS
from kb.say.readings import ToldReading, rows

MARK = {FITS: "ok", NOT: "NO", OPEN: "??"}


class ToldBand(NamedTuple):
    """One reading with its judgement. headline: one line; band: the accepted range; basis: where that comes from."""

    reading: ToldReading
    verdict: str
    headline: str
    band: str
    basis: str
    why: str
    harm: str
    chance: str
    note: str


class ToldTrend(NamedTuple):
    """One place over several starts, in words."""

    title: str
    words: tuple[str, ...]


def told(found: Sequence[BandFinding], system: str = "mm") -> list[ToldBand]:
    """Every reading in words, in the order given."""
    return [
        _told(each, row, system) for each, row in zip(found, rows([one.reading for one in found], system), strict=True)
    ]


def trends(found: Sequence[BandFinding], system: str = "mm") -> list[ToldTrend]:
    """What was read at least three times in like conditions."""
    return [ToldTrend(series_title(each), tuple(trend_words(each, system))) for each in series(found, 3)]


def _told(each: BandFinding, row: ToldReading, system: str) -> ToldBand:
    quantity = each.reading.quantity
    band = range_words(each.low, each.high, quantity, system)
    if each.because == "code":
        band = ""
    basis = each.source.title if each.source else ""
    chance = "" if each.probability is None else f"inside what may condemn: {probability(each.probability)}"
    harm = HARMS[each.harm] if each.harm else ""
    return ToldBand(row, each.verdict, _headline(each, band), band, basis, each.why, harm, chance, _note(each))


def _headline(each: BandFinding, band: str) -> str:
    tier = {"low": "as a sound one reads", "normal": "what is usual", "tolerated": "what is tolerated"}.get(
        each.tier, ""
    )
    if each.because == "no band":
        return "no accepted band is recorded for this place in this state"
    if each.because == "open":
        return "cannot be judged yet"
    if each.because == "code":
        return {FITS: "as it should be", NOT: "not as it should be"}.get(each.verdict, "outside what is usual")
    if each.because == "outside_usual":
        return f"outside {tier}: {band}"
    if each.verdict == FITS:
        return f"inside {tier}: {band}"
    return f"outside {tier}: {band}" if each.verdict == NOT else f"too near the edge of {tier} to tell: {band}"


def _note(each: BandFinding) -> str:
    if not each.waiting:
        return ""
    noted = [name for name in each.waiting if "." not in name]
    recorded = [name for name in each.waiting if "." in name]
    words = [f"note the {' and the '.join(noted)} with the reading"] if noted else []
    words += [f"record {', '.join(recorded)}"] if recorded else []
    return "; ".join(words)


def range_words(low: float | None, high: float | None, quantity: str, system: str = "mm") -> str:
    """A range in words: "137.9 kPa to 241.3 kPa", "at most 0.5 V"."""

    def show(value: float) -> str:
        return units.show(value, quantity, system) if quantity != CODE else f"{value:g}"

    if low is not None and high is not None:
        return f"{show(low)} to {show(high)}"
    if low is not None:
        return f"at least {show(low)}"
    return f"at most {show(high)}" if high is not None else ""


def bands_words(bands: Sequence[Band], quantity: str, system: str = "mm") -> list[tuple[str, str, str, str]]:
    """(tier, range, why, source) of the bands that have bounds."""
    return [
        (band.tier, range_words(band.low, band.high, quantity, system), band.why, band.source.title)
        for band in bands
        if band.low is not None or band.high is not None
    ]


# -- several starts ---------------------------------------------------------------------------------------------------


def series_title(shown: Series) -> str:
    """What was read, and at what."""
    meaning = places()[shown.place].meaning if shown.place in places() else shown.place
    words = [meaning, *([shown.state.replace("_", " ")] if shown.state else [])]
    speeds = [each.reading.speed for each in shown.found if each.reading.speed is not None]
    warm = [each.reading.temperature for each in shown.found if each.reading.temperature is not None]
    words += [f"about {round(60 * sum(speeds) / len(speeds), -1):.0f} rpm"] if speeds else []
    words += [f"about {round(sum(warm) / len(warm) - 273.15):.0f} degC"] if warm else []
    return ", ".join(words)


def trend_words(shown: Series, system: str = "mm") -> list[str]:
    """How the figures moved, and which of them are not good."""
    found = shown.found
    first, last = found[0], found[-1]
    change = value_of(last) - value_of(first)
    way = "risen" if change > 0 else "fallen"
    moved = f"{way} beyond the gauge's error"
    if abs(change) <= math.hypot(half_of(first), half_of(last)):
        moved = "no change beyond the error of the gauge"
        if steady(found):
            moved = f"{way} from each time to the next, though by no more than the gauge's error"
    lines = [f"{figure_words(first, system)} at first, {figure_words(last, system)} at last: {moved}."]
    out = [each for each in found if each.verdict != FITS]
    if out:
        words = ", ".join(f"start {each.reading.start or '?'}: {each.verdict}" for each in out[:4])
        lines.append(f"{words}{' and more' if len(out) > 4 else ''}.")
    else:
        lines.append("All inside what is accepted.")
    return lines


def figure_words(each: BandFinding, system: str = "mm") -> str:
    """The figure that was read."""
    quantity = each.reading.quantity
    return units.show(value_of(each), quantity, system) if quantity != CODE else f"{value_of(each):g}"


# -- text and data ----------------------------------------------------------------------------------------------------


def status(found: Sequence[BandFinding]) -> int:
    """Exit status: 1 if a reading does not fit, 3 if one cannot be told (or there is none), else 0."""
    judged = [each for each in found if each.because != "no band"]
    if any(each.verdict == NOT for each in judged):
        return 1
    return 3 if not judged or any(each.verdict == OPEN for each in judged) else 0


def as_text(build: Build, found: Sequence[BandFinding], *, width: int = 80, system: str = "mm") -> str:
    """The readings by start, each with its judgement, then what was read again and again."""
    if not found:
        step = f"matchmark reading {build.id} oil-gallery='3.2 bar' --state idling"
        return "\n".join(_wrap(f"No reading of {build.id} is recorded; add one with: {step}", width))
    lines = _wrap(f"{build.id}: {build.name}", width)
    at: tuple[int | None, str] | None = None
    for each in told(found, system):
        here = (each.reading.start, each.reading.date)
        if here != at:
            at = here
            lines += ["", f"start {here[0] or '?'}{f', {here[1]}' if here[1] else ''}"]
        value = f"{each.reading.value} ({each.reading.when})" if each.reading.when else each.reading.value
        lines += _wrap(f"{MARK[each.verdict]} {each.reading.place} {value}: {each.headline}", width, "     ", "  ")
        if each.verdict != FITS and each.why:
            lines += _wrap(f"{each.why} ({each.basis}); harm: {each.harm}", width, "       ", "     ")
        if each.note:
            lines += _wrap(each.note, width, "       ", "     ")
    several = trends(found, system)
    if several:
        lines += ["", "Over several starts"]
        for trend in several:
            lines += _wrap(f"{trend.title}: {' '.join(trend.words)}", width, "    ", "  ")
    return "\n".join([*lines, "", *_wrap(CAUTION, width)])


def _wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    ) or [""]


def as_json(build: Build, found: Sequence[BandFinding], system: str = "mm") -> dict[str, Any]:
    """The readings as plain data: SI beside the words."""
    return {
        "build": build.id,
        "exit_status": status(found),
        "readings": [
            {
                **{name: getattr(each.reading, name) for name in _FIELDS},
                "verdict": each.verdict,
                "because": each.because,
                "tier": each.tier or None,
                "low": each.low,
                "high": each.high,
                "source": each.source.title if each.source else None,
                "probability": each.probability,
                "harm": each.harm or None,
                "headline": words.headline,
                "why": each.why,
                "note_with_it": list(each.waiting),
                "bands": [
                    {"id": band.id, "tier": band.tier, "low": band.low, "high": band.high, "why": band.why,
                     "may_condemn": band.may_condemn, "source": band.source.title}
                    for band in each.bands
                ],
            }
            for each, words in zip(found, told(found, system), strict=True)
        ],
        "trends": [each._asdict() for each in trends(found, system)],
        "caution": CAUTION,
    }  # fmt: skip


_FIELDS = (
    "id", "place", "value", "half", "quantity", "tool", "state", "speed", "temperature", "start", "date", "by", "note",
    "text",
)  # fmt: skip
