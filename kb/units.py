"""Workshop notation to SI floats and back.

The grammar. Blanks may stand between tokens; signs of print (× − ″ ² µ ·) are read as their keyboard twins.

    quantity    = value [ spread | range | remainder ]
    value       = [ sign ] number [ unit ] | [ sign ] feet-inches
    feet-inches = digits foot-unit [ "-" ] number inch-unit           5' 3 1/2"   5 ft 3 in
    number      = decimal | fraction | digits ( " " | "-" ) fraction  6.35   3/8   8 1/4   8-1/4   8¼   1,250
    decimal     = ( digits | thousands ) [ "." digits ] [ "e" [ sign ] digits ] | "." digits
    thousands   = one to three digits, then "," with exactly three digits, once or more
    fraction    = digits "/" digits | "¼" | "½" | ...                 below one after a whole number
    spread      = ( "+/-" | "±" ) number [ unit | "%" ]               190 +/- 1 mm   190 mm ± 0.5 %
                | sign number [ "/" | "," ] sign number [ unit ]      190 +0.1/-0.2 mm
    range       = ( ".." | "to" ) value                               188..190 mm   188 to 190 mm
    remainder   = "(" sign number unit ")"                            8 17/64 in (+0.003 mm), as `show` writes it
    unit        = a word of kb/unit_table.py, or such words joined    N.m   ft-lb   cc/min   kJ/(kg.K)
    sign        = "+" | "-"

    designation = "M" decimal [ "x" decimal ]                         M8x1.25               metric_thread
                | ( size [ "in" ] | "#" digits ) "-" pitch [ series ] 5/16-18   1/4-20 UNC  inch_thread
                | "-" digits | ( "AN" | "JIC" | "dash" ) digits       -8                    dash_size
                | ( digits | digits "/0" ) "AWG"                      10 AWG   2/0 AWG      wire_gauge
                | digits "-" digits { "-" digits }                    36-1   36-2-2-2       tooth_pattern

A unit may follow the last number only (188 to 190 mm). gal, qt, pt and fl oz are those of the US; the others are
"imp gal". lb is a mass, or a force where a force is due. Upper and lower case are alike except where they tell units
apart (mPa and MPa, K, A, s). A bare number is refused unless the place gives it a unit or a plain number is due.

Conversions are exact rationals up to the last division, so that 5/16 in is 0.0079375 m to the last bit.
"""

from __future__ import annotations

import re
from functools import lru_cache
from math import inf
from typing import NamedTuple

from kb.designations import Designation, clean, describe, designation, find, refuse_pipe, short
from kb.errors import NotationFault, unknown
from kb.unit_show import show, show_unit
from kb.unit_table import KINDS, NUMBER, Kind, Ratio, Unit, decimal, factor, key, resolve

__all__ = ["KINDS", "Designation", "Kind", "Measure", "designation", "parse", "read", "show", "show_unit"]

_VULGAR = {"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_VULGARS = "".join(_VULGAR)
_FRACTION = rf"(?:[0-9]+/[0-9]+|[{_VULGARS}])"
_NUMBER = rf"""(?P<mixed>[0-9]+)(?:\s+|-|(?=[{_VULGARS}]))(?P<part>{_FRACTION})
    |(?P<fraction>{_FRACTION})
    |(?P<decimal>(?:[0-9][0-9,]*(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)"""
_STARTS_NUMBER = rf"(?=[0-9.{_VULGARS}])"
_WORD = r"(?!to\b)[A-Za-zΩ°]+(?:\^?[0-9](?![0-9])[Oo]?)?"
_UNIT = rf"""''|"(?:\s*Hg)?|'|%
    |(?:/\s*)?{_WORD}(?:(?:\s*[./*-]\s*|\s+){_WORD}|\s*/\s*\({_WORD}(?:[.*\s]{_WORD})*\))*"""
# One of the two signed numbers may be a bare 0: "+0.1/0", "0/-0.2".
_BOUNDS = r"(?=[+-]\s*[0-9.].*[/,\s]\s*(?:[+-]|0(?:\s|$))|0\s*/\s*[+-])"
# What nearly all figures of a catalogue look like: 188 mm, 6.35 +/- 0.1 mm.
_USUAL = re.compile(
    r"(-?[0-9]{1,9}(?:\.[0-9]{1,9})?)(?: (?:\+/-|±) ([0-9]{1,9}(?:\.[0-9]{1,9})?))? ([A-Za-z]{1,9})", re.ASCII
)
_LONGEST_EXPONENT = 4
_FOOT = ("'", "ft", "foot", "feet")
_INCH = ("in", "inch", "inches")


class Measure(NamedTuple):
    """A quantity as a text states it. `value` and `half_width` are in the SI unit of `kind` (KINDS[kind].base)."""

    kind: str
    value: float
    half_width: float | None
    unit: str
    text: str


def _add(first: Ratio, second: Ratio) -> Ratio:
    return first[0] * second[1] + second[0] * first[1], first[1] * second[1]


def _times(first: Ratio, second: Ratio) -> Ratio:
    return first[0] * second[0], first[1] * second[1]


def _minus(ratio: Ratio) -> Ratio:
    return -ratio[0], ratio[1]


@lru_cache(maxsize=64)
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\s*(?:{pattern})", re.VERBOSE)


class _Line:
    """A text being read from left to right."""

    def __init__(self, text: str, place: str) -> None:
        self.plain = clean(text, place)
        self.text = text.strip()
        self.place = place
        self.at = 0

    def fault(self, message: str, step: str) -> NotationFault:
        return NotationFault(message, place=self.place, step=step)

    def take(self, pattern: str) -> re.Match[str] | None:
        """What stands next after blanks, if it has this form."""
        match = _compiled(pattern).match(self.plain, self.at)
        if match:
            self.at = match.end()
        return match

    def rest(self) -> str:
        return self.plain[self.at :].strip()

    def column(self) -> int:
        return len(self.plain) - len(self.plain[self.at :].lstrip()) + 1

    def sign(self) -> int:
        match = self.take(rf"[+-]\s*{_STARTS_NUMBER}")
        return -1 if match and "-" in match[0] else 1

    def number(self, *, signed: bool = True) -> Ratio:
        """The number that stands next, exactly."""
        sign = self.sign() if signed else 1
        column, rest = self.column(), self.rest()
        match = self.take(_NUMBER)
        if not match:
            found = f"where {short(rest)} stands" if rest else "at the end"
            raise self.fault(
                f"in {short(self.text)}, a number is due at column {column}, {found}",
                "write a number and a unit, for example 8 1/4 in",
            )
        if match["decimal"]:
            above, below = self._decimal(match["decimal"], column)
        else:
            group = "part" if match["part"] else "fraction"
            above, below = self._fraction(match["mixed"], match[group], match.start(group) + 1)
        return sign * above, below

    def _decimal(self, digits: str, column: int) -> Ratio:
        mantissa, _, exponent = digits.lower().partition("e")
        whole, _, rest = mantissa.partition(".")
        if "," in whole and not re.fullmatch(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+", whole):
            lone = whole.count(",") == 1 and not rest and not whole.endswith(",")
            raise self.fault(
                f"in {short(self.text)}, the comma at column {column + whole.index(',')} does not part thousands",
                f"write {whole.replace(',', '.')} if it is a decimal sign" if lone else "leave the commas out",
            )
        if len(exponent.lstrip("+-0")) > _LONGEST_EXPONENT:
            raise self.fault(
                f"{short(digits)} at column {column} is out of any range", "write a number of ordinary size"
            )
        return decimal(digits.replace(",", ""))

    def _fraction(self, whole: str | None, part: str, column: int) -> Ratio:
        above, below = (int(digits) for digits in _VULGAR.get(part, part).split("/"))
        if not below:
            gauge = f", or {part} AWG for a wire" if part.endswith("/0") and not whole else ""
            raise self.fault(
                f"in {short(self.text)}, the fraction {part} at column {column} divides by zero",
                f"write it as 8 1/4{gauge}",
            )
        if whole and above >= below:
            raise self.fault(
                f"in {short(self.text)}, the fraction {part} after the whole number {whole} is not below one",
                "write a whole number and a proper fraction, for example 8 1/4",
            )
        return int(whole or 0) * below + above, below

    def unit(self) -> str | None:
        """The unit text that stands next, as written."""
        match = self.take(_UNIT)
        if not match:
            return None
        written = match[0].strip()
        if " " in written and not written.startswith('"'):
            written = self._without_strangers(written)
            self.at = match.end() - len(match[0].lstrip()) + len(written)
        self.take(r"\.(?![.0-9])")
        return written

    def _without_strangers(self, written: str) -> str:
        # "5 mm deep": if the words make no unit together and the first is one, the others are not of it.
        head, _, tail = written.partition(" ")
        for attempt in (written, head):
            try:
                resolve(attempt)
            except NotationFault:
                continue
            return attempt if attempt == written or not re.match(r"\s*(?:per\b|[./*-])", tail) else written
        return written

    def resolve(self, written: str, kind: str | None) -> Unit:
        """The unit of table or compound; a fault shows the whole text as well."""
        try:
            return resolve(written, kind)
        except NotationFault as fault:
            joint = "in {}, {}" if fault.message.startswith(("'", '"')) else "{} is {}"
            raise self.fault(joint.format(short(self.text), fault.message), fault.step) from None


class _Value(NamedTuple):
    number: Ratio
    unit: str | None


def _value(line: _Line) -> _Value:
    number = line.number()
    written = line.unit()
    if written is None or key(written).casefold() not in _FOOT:
        return _Value(number, written)
    before = line.at
    if line.take(rf"(?:-\s*)?{_STARTS_NUMBER}"):
        inches = line.number(signed=False)
        second = line.unit()
        if second and key(second).casefold() in _INCH:
            if abs(number[0]) % number[1] or inches[0] >= 12 * inches[1]:
                raise line.fault(
                    f"{short(line.text)} is not whole feet and less than 12 inches", "write it as 5' 3\" or as 63 in"
                )
            negative = line.plain.lstrip().startswith("-")
            feet = _times(number, (12, 1))
            return _Value(_add(feet, _minus(inches) if negative else inches), second)
    line.at = before
    return _Value(number, written)


def _leftover(line: _Line) -> NotationFault:
    rest, read_part = line.rest(), line.plain[: line.at].strip()
    trimmed = re.sub(r"\s*(?:in|inch|inches|\"|mm)\.?$", "", line.plain.strip())
    hidden = find(trimmed, trimmed)
    if hidden:
        return line.fault(
            f"{short(line.text)} is {describe(hidden[0])} with a unit after it",
            f"write the thread as {trimmed}, a size as {_size_of(trimmed)}",
        )
    if re.match(r"-\s*[0-9.]", rest):
        step = f"for a range write {read_part} to {rest[1:].strip()}"
    else:
        step = "write one number and one unit, for example 8 1/4 in or 190 +/- 1 mm"
    return line.fault(
        f"in {short(line.text)}, {short(rest)} at column {line.column()} is left over after {short(read_part)}", step
    )


def _size_of(thread: str) -> str:
    head = thread.rpartition("-")[0].strip(' "#')
    return f"{head} in" if head else "1/2 in"


def _is_designation(found: Designation, kind: str | None, line: _Line) -> NotationFault:
    due = KINDS[kind].phrase if kind else "a quantity"
    step = f"write {due}, for example {KINDS[kind or 'length'].example}"
    if kind in (None, "length") and found.sort.endswith("thread"):
        step = f"for the size alone write {_size_of(line.text)}"
        if found.sort == "metric_thread":
            step = f"for the size alone write {found.numbers[0] * 1000:g} mm"
    return line.fault(f"{short(line.text)} is {describe(found)} where {due} is due", step)


def parse(text: str, kind: str | None = None, *, unit: str | None = None, place: str = "") -> Measure:
    """The quantity that `text` states, in SI; grammar in the module's docstring.

    `kind`: the kind of quantity due (a key of KINDS), or None for any. `unit`: the unit of bare numbers here.
    NotationFault, with `place`: not a quantity, of another kind, without a unit, or out of range.
    """
    if kind is not None and kind not in KINDS:
        raise unknown("kind of quantity", kind, KINDS, place=place)
    return _usual(text, kind) or _parse(text, kind, unit, place)


def _usual(text: str, kind: str | None) -> Measure | None:
    """What `_parse` makes of the usual form, many times quicker; None for everything else, and for any doubt."""
    match = _USUAL.fullmatch(text)
    found = _usual_unit(match[3], kind) if match else None
    if match is None or found is None:
        return None
    (above, below), word, of = found
    value, half = decimal(match[1]), decimal(match[2]) if match[2] else None
    spread = None if half is None else half[0] * above / (half[1] * below)
    return Measure(of, value[0] * above / (value[1] * below), spread, word, text)


@lru_cache(maxsize=512)
def _usual_unit(written: str, kind: str | None) -> tuple[Ratio, str, str] | None:
    try:
        unit = resolve(written, kind)
    except NotationFault:
        return None
    return None if unit.kind == "temperature" or unit.offset != "0" else (factor(unit), unit.word, unit.kind)


def _parse(text: str, kind: str | None, unit: str | None, place: str) -> Measure:
    line = _Line(text, place)
    found = find(line.plain, text)
    refuse_pipe(line.plain, found, place)
    if found and not (found[0].sort == "dash_size" and (kind == "number" or unit)):
        raise _is_designation(found[0], kind, line)
    context = unit if unit is not None else ("" if kind == "number" else None)
    first = _value(line)
    if line.take(r"±|\+\s*/\s*-|\+-"):
        return _spread(line, first, kind, context)
    if line.take(_BOUNDS):
        return _bounds(line, first, kind, context)
    if line.take(r"\.\.|to\b"):
        return _range(line, first, kind, context)
    main = _unit(line, first.unit, kind, context)
    number = first.number
    if main.word == "in" and line.take(r"\((?=\s*[+-])"):
        number = _add(number, _times(_remainder(line), _inverse(factor(main))))
    return _measure(line, main, _si(main, number), None)


def _spread(line: _Line, first: _Value, kind: str | None, context: str | None) -> Measure:
    half, written = line.number(signed=False), line.unit()
    own = first.unit or context
    if written == "%" and (own or kind not in (None, "percent")):
        main = _unit(line, own, kind, context)
        if main.kind == "temperature":
            raise line.fault(f"in {short(line.text)}, a share of a temperature means nothing", "write 75 +/- 5 degC")
        share = half if main.kind == "percent" else _times((abs(first.number[0]), first.number[1]), half)
        return _measure(line, main, _si(main, first.number), _times(_times(share, (1, 100)), _whole(main)))
    main = _unit(line, first.unit or written, kind, context)
    return _measure(line, main, _si(main, first.number), _times(half, factor(_spread_unit(line, main, written))))


def _whole(main: Unit) -> Ratio:
    return (1, 1) if main.kind == "percent" else factor(main)


def _bounds(line: _Line, first: _Value, kind: str | None, context: str | None) -> Measure:
    start = line.at
    one = _Value(line.number(), line.unit())
    parted = line.take("[/,]")
    two = _Value(line.number(), line.unit())
    main = _unit(line, first.unit or two.unit or one.unit, kind, context)
    if not parted and one.number[0] * two.number[0] > 0:
        line.at = start
        raise _leftover(line)
    offsets = [
        _times(bound.number, factor(_spread_unit(line, main, bound.unit or other.unit)))
        for bound, other in ((one, two), (two, one))
    ]
    middle, half = _middle(offsets)
    return _measure(line, main, _add(_si(main, first.number), middle), half)


def _range(line: _Line, first: _Value, kind: str | None, context: str | None) -> Measure:
    second = _value(line)
    main = _unit(line, first.unit or second.unit, kind, context)
    other = _unit(line, second.unit or first.unit, main.kind, context)
    low, high = _si(main, first.number), _si(other, second.number)
    if low[0] * high[1] > high[0] * low[1]:
        raise line.fault(f"the range {short(line.text)} runs backwards", "write the smaller value first")
    return _measure(line, main, *_middle([low, high]))


def _measure(line: _Line, unit: Unit, value: Ratio, half: Ratio | None) -> Measure:
    if line.rest():
        raise _leftover(line)
    if unit.kind == "temperature" and value[0] < 0:
        raise line.fault(f"{short(line.text)} is below absolute zero", "check the sign and the unit")
    return Measure(unit.kind, _float(line, value), None if half is None else _float(line, half), unit.word, line.text)


def _float(line: _Line, ratio: Ratio) -> float:
    try:
        value = ratio[0] / ratio[1]
    except OverflowError:
        value = inf
    if value in (inf, -inf) or (ratio[0] and not value):
        raise line.fault(f"{short(line.text)} is out of any range", "write a number of ordinary size")
    return value


def _si(unit: Unit, number: Ratio) -> Ratio:
    return _times(_add(number, decimal(unit.offset)), factor(unit))


def _inverse(ratio: Ratio) -> Ratio:
    return ratio[1], ratio[0]


def _middle(bounds: list[Ratio]) -> tuple[Ratio, Ratio]:
    first, second = bounds
    width = _times(_add(second, _minus(first)), (1, 2))
    return _times(_add(first, second), (1, 2)), (abs(width[0]), width[1])


def _unit(line: _Line, written: str | None, kind: str | None, context: str | None) -> Unit:
    """The unit written, else that of the place; NotationFault if there is none, or another kind is due."""
    if written:
        return line.resolve(written, kind)
    if context:
        return line.resolve(context, kind)
    if context == "" and kind in (None, "number"):
        return NUMBER
    if line.rest():
        raise _leftover(line)
    due = KINDS[kind or "length"]
    words = [due.inch, due.metric] if due.inch != due.metric else [due.metric]
    step = "write " + " or ".join(f"{line.text} {word}" for word in words)
    raise line.fault(f"{short(line.text)} has no unit", step)


def _spread_unit(line: _Line, main: Unit, written: str | None) -> Unit:
    """A spread of a temperature is a difference: its scale counts, its zero does not."""
    if written is None:
        return main
    return line.resolve(written, "temperature_difference" if main.kind == "temperature" else main.kind)


def _remainder(line: _Line) -> Ratio:
    """The small correction in metres that `show` writes after the nearest 1/64 in."""
    number = line.number()
    correction = _times(number, factor(line.resolve(line.unit() or "mm", "length")))
    if not line.take(r"\)"):
        raise line.fault(
            f"in {short(line.text)}, a ')' is due at column {line.column()}", "write it as 8 17/64 in (+0.003 mm)"
        )
    if abs(correction[0]) * 128 * 10000 > 255 * correction[1]:
        raise line.fault(
            f"in {short(line.text)}, the remainder in brackets is more than 1/128 in",
            "for a tolerance write 8 1/4 in +/- 0.5 mm",
        )
    return correction


def read(text: str, *, place: str = "") -> Measure | Designation:
    """The quantity or the designation that `text` is; NotationFault if it is neither, or may be two things."""
    plain = clean(text, place)
    found = find(plain, text)
    refuse_pipe(plain, found, place)
    if len(found) > 1:
        both = " or ".join(describe(one) for one in found)
        raise NotationFault(
            f"{short(text.strip())} may be {both}", place=place, step="name the field that it belongs to"
        )
    if found:
        return found[0]
    return parse(text, place=place)
