"""The measurements worth taking, in words: a list for the screen, and plain data.

told = tell(base.measure("drover"))
told.lines[0].what, told.lines[0].settles
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from typing import Any, NamedTuple

from kb import units
from kb.chance import FITS, NOT
from kb.errors import visible
from kb.explain import CAUTION, known_as
from kb.finding import Finding
from kb.measure import Instrument
from kb.measuring_words import ROOT3, decimal
from kb.report import plain
from kb.rules._rule import HARMS
from kb.worth import Advice, Item, Measurement, Settling

PLACES = {"yard": "In the yard", "bench": "At the bench", "car": "On the car"}
SHOWN_AT_MOST = 8  # items on one screen
BEFORE = {"prime": "priming the oil", "crank": "cranking", "fire": "the first fire", "drive": "driving"}
ORDER_WORDS = (
    "Each counts as if those above it had been taken, and as if what they settle were independent of each other. A "
    "missing figure is taken as likely anywhere in its plausible range; the verdict may be no as well as yes."
)
INSTEAD = "instead of the old readings"  # behind a figure that sets them aside
YARD_FIRST = "Parts that you do not own yet are in the yard: look there before you pay."


class Line(NamedTuple):
    """One reading in words.

    number: of the item that it belongs to; together: readings of one item, which decide only with each other. what:
    `pan.sump_depth`; meaning; part: its id. how: where to measure; hold: how to hold the instrument. good: the accuracy
    that settles it. now: what is known so far. settles: what the item settles, in words. unit: what to write behind a
    figure. choices: what may be written where it is no figure. supersedes: the old readings are set aside by it.
    """

    number: int
    name: str
    key: str
    meaning: str
    part: str
    place: str
    tool: Instrument
    minutes: str
    others: str
    how: str
    hold: str
    good: str
    now: str
    settles: str
    harm: str
    together: int
    unit: str
    choices: tuple[str, ...]
    supersedes: bool
    can_enter: bool


class ToldAdvice(NamedTuple):
    """The list in words. lines: readings in order. where: (place, its heading, its lines), tools kept together."""

    title: str
    summary: str
    lines: tuple[Line, ...]
    where: tuple[tuple[str, str, tuple[Line, ...]], ...]
    notes: tuple[str, ...]
    caution: str


def tell(advice: Advice, system: str = "mm") -> ToldAdvice:
    """The advice in words; `system` is mm, in or in64."""
    lines = [
        _line(number, item, reading, advice, system)
        for number, item in enumerate(advice.items, 1)
        for reading in item.readings
    ]
    return ToldAdvice(
        f"What to measure: {advice.build.name}",
        summary(advice),
        tuple(lines),
        tuple(_where(lines, by_tool=advice.order == "tool")),
        tuple(_notes(advice)),
        _caution(advice),
    )


def summary(advice: Advice) -> str:
    """One or two sentences: what is open, and what the readings should settle."""
    count = len(advice.undecided)
    until = f" before {BEFORE[advice.milestone]}" if advice.milestone else ""
    if not count:
        return f"Nothing is left to measure: no verdict is open{until}."
    verdicts = f"{count} verdict{'s are' if count != 1 else ' is'} open{until}"
    if not advice.items:
        here = f" {PLACES[advice.at].lower()}" if advice.at else ""
        return f"{verdicts[:1].upper()}{verdicts[1:]}, and no reading{here} would settle any."
    readings = len(advice.readings)
    return (
        f"{verdicts}. {'This reading' if readings == 1 else f'These {readings} readings'} should settle "
        f"{_expected(advice.expected)} of {'it' if count == 1 else 'them'} in {_minutes(advice.minutes)}."
    )


def _expected(number: float) -> str:
    return f"{number:.2f}" if number < 0.995 else f"{number:.1f}"


def _minutes(minutes: float) -> str:
    if minutes < 90:
        return f"{minutes:g} minute{'s' if minutes != 1 else ''}"
    return f"{minutes / 60:.1f} hours"


def _line(number: int, item: Item, reading: Measurement, advice: Advice, system: str) -> Line:
    feature = reading.leaf.feature
    part = advice.build.parts[reading.role]
    others = ", ".join(
        f"{tool.name} ({tool.minutes:g} min, settles {_expected(settled)})" for tool, settled in reading.rivals[:2]
    )
    first = reading is item.readings[0]
    return Line(
        number,
        reading.name,
        reading.key,
        feature.meaning,
        part.id,
        reading.where,
        reading.tool,
        f"{reading.tool.minutes:g} min",
        others,
        feature.measure,
        reading.tool.hold,
        accuracy(reading, system),
        _now(reading, system),
        settles_words(item) if first else f"with {item.readings[0].name}",
        ", ".join(HARMS[harm] for harm in item.by_harm) if first else "",
        len(item.readings),
        unit_of(reading, system),
        tuple(_choices(reading)),
        reading.supersedes,
        reading.can_enter,
    )


def accuracy(reading: Measurement, system: str = "mm") -> str:
    """How good the reading must be, and how good the instrument is; empty for what is counted or looked at."""
    feature = reading.leaf.feature
    if feature.sort != "dimension":
        return ""
    said = []
    if reading.needed is not None:
        said.append(f"if the figure stands, {_half(reading.needed * ROOT3, feature.quantity, system)} is good enough")
    if reading.tool.id:
        size = reading.leaf.dimension.value if reading.leaf.dimension else _middle(reading)
        half = reading.tool.half_width_at(size)
        said.append(f"{_article(reading.tool.name)} is good to {_half(half, feature.quantity, system)}")
    return "; ".join(said)


def _half(value: float, quantity: str, system: str) -> str:
    kind = "temperature_difference" if quantity == "temperature" else quantity
    shown = value / units.show_unit(kind, decimal(system))[1]
    digits = min(max(1 - math.floor(math.log10(shown)), 0), 6) if shown > 0.0 else None
    return f"± {units.show(value, kind, decimal(system), digits=digits)}"


def _article(name: str) -> str:
    if name.endswith("s"):  # feeler gauges, drill shanks
        return f"a set of {name}"
    return f"{'an' if name[:1] in 'aeiou' else 'a'} {name}"


def _middle(reading: Measurement) -> float:
    low, high = reading.leaf.feature.plausible or (0.0, 0.0)
    return 0.5 * (low + high)


def _now(reading: Measurement, system: str) -> str:
    dimension = reading.leaf.dimension
    if dimension is None:
        return "not recorded"
    quantity = reading.leaf.feature.quantity
    value = units.show(dimension.value, quantity, system)
    if dimension.contradiction:
        return dimension.contradiction.partition(". Neither")[0]
    return f"{value} {_half(2 * dimension.u, quantity, system)}, {known_as(dimension)}"


def settles_words(item: Item) -> str:
    """`settles 0.66 verdicts: pickup-floor-gap (62 % fits, 4 % does not)`."""
    shown = sorted(item.settles, key=lambda pair: (-pair[1].settled, pair[0].name))
    words = [_outcome(finding, settling) for finding, settling in shown[:3]]
    more = f" and {len(shown) - 3} more" if len(shown) > 3 else ""
    after = "" if abs(item.added - item.settled) < 0.005 else f", {_expected(item.added)} once the above is done"
    return f"settles {_expected(item.settled)}{after}: {', '.join(words)}{more}"


def _outcome(finding: Finding, settling: Settling) -> str:
    said = [
        f"{_percent(p)} {words}"
        for p, words in ((settling.fits, FITS), (settling.fails, NOT), (settling.falls, "no longer asked"))
        if p >= 0.005
    ]
    return f"{finding.name} ({', '.join(said) or 'under 1 %'})"


def _percent(p: float) -> str:
    return "over 99 %" if 0.995 <= p < 1.0 else f"{100 * p:.0f} %"


def unit_of(reading: Measurement, system: str = "mm") -> str:
    """The unit to write behind a figure; empty for a choice, a count or a plain number."""
    feature = reading.leaf.feature
    if not feature.quantity or feature.quantity == "number":
        return ""
    if feature.quantity == "temperature":
        return "degC"
    return units.show_unit(feature.quantity, decimal(system))[0]


def _choices(reading: Measurement) -> Sequence[str]:
    feature = reading.leaf.feature
    if feature.sort == "flag":
        return ("yes", "no")
    return feature.options


def _where(lines: Sequence[Line], *, by_tool: bool) -> list[tuple[str, str, tuple[Line, ...]]]:
    """Lines by place, in each either by their order or with those of one tool together, the tool used first first."""
    found = []
    for place, heading in PLACES.items():
        here = [line for line in lines if line.place == place]
        if by_tool:
            first = {line.tool.id: number for number, line in reversed(list(enumerate(here)))}
            here.sort(key=lambda line: first[line.tool.id])
        if here:
            tools = list(dict.fromkeys(line.tool.name for line in here if line.tool.id not in ("", "eye")))
            take = f" (take {', '.join(tools)})" if tools else ""
            found.append((place, f"{heading}{take}", tuple(here)))
    return found


def _notes(advice: Advice) -> list[str]:
    notes = []
    if any(line.where == "yard" and not line.owned for line in advice.readings) and not advice.build.loose:
        notes.append(YARD_FIRST)
    if advice.items:
        notes.append(ORDER_WORDS)
    guessed = [each.name for each in advice.readings if _guessed(each)]
    if guessed:
        words = "is taken as likely to have any value that other recorded parts have"
        notes.append(f"{', '.join(guessed[:6])}: {words}.")
    if advice.unforeseen:
        names = ", ".join(each.name for each in advice.unforeseen[:6])
        notes.append(f"Needed too, but nobody can say what they are likely to settle: {names}.")
    if advice.idle:
        names = ", ".join(each.name for each in advice.idle[:6])
        notes.append(f"Read by an open question, but better figures alone would settle nothing: {names}.")
    for clash in advice.clashes:
        names = ", ".join(clash.unknown)
        notes.append(
            f"Whether the known clash {clash.incompatibility.id} applies hangs on {names}: look, or measure it."
        )
    if advice.deaf:
        names = ", ".join(each.name for each in advice.deaf[:6])
        notes.append(f"No reading decides these, see matchmark check: {names}.")
    return notes


def _guessed(reading: Measurement) -> bool:
    """Whether nobody states what is plausible."""
    feature = reading.leaf.feature
    return reading.leaf.missing and not reading.leaf.options and (feature.plausible is None or feature.sort == "count")


def _caution(advice: Advice) -> str:
    """The cautions of the rules in question, each sentence once, and the usual one."""
    said = [finding.rule.caution for item in advice.items for finding, _ in item.settles]
    own = dict.fromkeys(sentence.rstrip(".") for each in said if each for sentence in each.split(". "))
    return " ".join([*(f"{sentence}." for sentence in own), CAUTION])


# -- the screen --------------------------------------------------------------------------------------------------------


def as_text(advice: Advice, *, width: int = 80, system: str = "mm", sheet: str = "readings.txt") -> str:
    """The list as one screen: what, with what, how, and what it settles. sheet: a name for the file to fill in."""
    told = tell(advice, system)
    lines = _wrap(told.title, width)
    lines += ["=" * max(map(len, lines)), ""]
    lines += _wrap(told.summary, width)
    left = sum(item.added for item in advice.items[SHOWN_AT_MOST:])
    for _, heading, here in told.where:
        shown = [line for line in here if line.number <= SHOWN_AT_MOST]
        if shown:
            lines += ["", *_wrap(f"{heading}:", width)]
        for line in shown:
            lines += _reading(line, width)
    if len(advice.items) > SHOWN_AT_MOST:
        more = len(advice.items) - SHOWN_AT_MOST
        lines += ["", *_wrap(f"and {more} more, which should settle {_expected(left)}: see --sheet - or --json", width)]
    for note in told.notes:
        lines += ["", *_wrap(note, width)]
    if advice.items:
        lines += ["", *_steps(advice, width, sheet)]
    lines += ["", *_wrap(told.caution, width)]
    return "\n".join(lines) + "\n"


def _steps(advice: Advice, width: int, sheet: str) -> list[str]:
    """What to type for the sheet, and to enter what was read."""
    if advice.build.loose:
        return _wrap("To print it: --sheet FILE.html; readings are entered into a recorded build.", width)
    command = f"matchmark measure {advice.build.id}"
    return [
        *_wrap(f"Next: {command} --sheet {sheet}", width, "      "),
        *_wrap("(writes the sheet: fill it in; .html in place of .txt makes one for paper)", width, "      ", "      "),
        *_wrap(f"Then: {command} --enter {sheet}", width, "      "),
    ]


def _reading(line: Line, width: int) -> list[str]:
    with_ = f"with {line.tool.name}, {line.minutes}" if line.tool.id != "eye" else f"look, {line.minutes}"
    together = f" (one of {line.together} that decide together)" if line.together > 1 else ""
    made = _wrap(f"{line.name}: {line.meaning} [{with_}]{together}", width, "    ", f"{line.number:2}. ")
    if line.how:
        made += _wrap(f"how: {line.how}", width, "    ", "    ")
    other = f"or {line.others}" if line.others else ""
    good = "; ".join(each for each in (line.good if "figure stands" in line.good else "", other) if each)
    made += _wrap(good, width, "    ", "    ") if good else []
    if line.supersedes:
        made += _wrap(f"now: {line.now}; this reading sets the old ones aside", width, "    ", "    ")
    return made + _wrap(f"{line.settles}" + (f" ({line.harm})" if line.harm else ""), width, "    ", "    ")


def _wrap(words: str, width: int, indent: str = "", first: str = "") -> list[str]:
    return textwrap.wrap(
        visible(words), width, initial_indent=first, subsequent_indent=indent, break_on_hyphens=False
    ) or [""]


# -- plain data --------------------------------------------------------------------------------------------------------


def as_json(advice: Advice, system: str = "mm") -> dict[str, Any]:
    """The advice as plain data: SI figures beside the words that the text shows."""
    told = tell(advice, system)
    words = {line.key: line for line in told.lines}
    data = {
        "build": advice.build.id,
        "name": advice.build.name,
        "milestone": advice.milestone or None,
        "at": advice.at or None,
        "order": advice.order,
        "summary": told.summary,
        "undecided": [each.name for each in advice.undecided],
        "expected_settled": advice.expected,
        "minutes": advice.minutes,
        "items": [
            {
                "number": number,
                "readings": [_reading_json(each, words[each.key]) for each in item.readings],
                "settled": item.settled,
                "settled_after_those_before": item.added,
                "error": item.error,
                "minutes": item.minutes,
                "per_minute": item.added / item.minutes if item.minutes else None,
                "by_harm": item.by_harm,
                "words": settles_words(item),
                "findings": [
                    {
                        "finding": finding.name,
                        "harm": finding.limit.harm,
                        "milestone": finding.limit.milestone,
                        "fits": settling.fits,
                        "does_not_fit": settling.fails,
                        "no_longer_asked": settling.falls,
                        "error": settling.error,
                    }
                    for finding, settling in item.settles
                ],
            }
            for number, item in enumerate(advice.items, 1)
        ],
        "idle": [each.name for each in advice.idle],
        "unforeseen": [each.name for each in advice.unforeseen],
        "not_decided_by_a_reading": [each.name for each in advice.deaf],
        "clashes_in_doubt": {each.incompatibility.id: each.unknown for each in advice.clashes},
        "notes": told.notes,
        "caution": told.caution,
    }
    found: dict[str, Any] = plain(data)
    return found


def _reading_json(reading: Measurement, line: Line) -> dict[str, Any]:
    return {
        "input": reading.name,
        "part": line.part,
        "meaning": line.meaning,
        "how": line.how,
        "instrument": reading.tool.id or None,
        "instrument_name": reading.tool.name,
        "minutes": reading.tool.minutes,
        "where": reading.where,
        "owned": reading.owned,
        "now": line.now,
        "needed_standard_uncertainty": reading.needed,
        "accuracy": line.good,
        "supersedes": reading.supersedes,
        "alone": reading.settled,
        "unit": line.unit,
        "choices": line.choices,
        "other_instruments": [
            {"instrument": tool.id, "minutes": tool.minutes, "settled": settled} for tool, settled in reading.rivals
        ],
    }
