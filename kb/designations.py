"""Names of sizes that are no quantities: threads, dash sizes, wire gauges, tooth patterns. Grammar: kb/units.py.

Inch threads by number (#10 is 0.190 in) follow ASME B1.1, diameter 0.060 in + 0.013 in a number; the pairs of size and
pitch that read as pipe threads are those of ASME B1.20.1. Both lists are from memory.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

from kb.errors import NotationFault
from kb.unit_table import decimal

MOST_CHARACTERS = 200

SORTS: dict[str, tuple[str, str]] = {
    "metric_thread": ("a metric thread", "M8x1.25"),
    "inch_thread": ("an inch thread", "5/16-18"),
    "dash_size": ("a dash size", "-8"),
    "wire_gauge": ("a wire gauge", "10 AWG"),
    "tooth_pattern": ("a tooth pattern", "36-1"),
}

_NUMBERED = {
    (0, 80), (1, 64), (1, 72), (2, 56), (2, 64), (3, 48), (3, 56), (4, 40), (4, 48), (5, 40), (5, 44), (6, 32), (6, 40),
    (8, 32), (8, 36), (10, 24), (10, 32), (12, 24), (12, 28),
}  # fmt: skip
# Diameter in sixteenths of an inch, threads per inch.
_PIPE = {(1, 27), (2, 27), (4, 18), (6, 18), (8, 14), (12, 14), (16, 11.5), (20, 11.5), (24, 11.5), (32, 11.5)}

# Signs of print and their keyboard twins, one for one so that columns stay true.
_TWINS = str.maketrans(
    "−–‑×µμ²³⁴·⋅⁄′″’‘”“º℃℉\u2126\u212a\u00a0\u2009\u202f\u2007\t",
    "---xuu234../'\"''\"\"°CFΩK     ",
)


class Designation(NamedTuple):
    """A name of a size that is no quantity.

    `numbers`: metric thread (diameter m, pitch m if given); inch thread (diameter m, threads per inch); dash size
    (dash,); wire gauge (AWG number,) with 2/0 as -1; tooth pattern (teeth of the full wheel, missing, missing ...).
    """

    sort: str
    numbers: tuple[float, ...]
    text: str


def clean(text: str, place: str = "") -> str:
    """`text` with keyboard signs for signs of print, no longer at the right; NotationFault if empty or too long."""
    if len(text) > MOST_CHARACTERS:
        raise NotationFault(
            f"a value of {len(text)} characters, beginning {text[:20]!r}, is too long (at most {MOST_CHARACTERS})",
            place=place,
            step="write one value, for example 8 1/4 in",
        )
    plain = text.translate(_TWINS).rstrip()
    if not plain.strip():
        raise NotationFault("the value is empty", place=place, step="write a value, for example 8 1/4 in")
    return plain


def _metric(match: re.Match[str]) -> tuple[float, ...]:
    diameter, pitch = (
        above / (below * 1000) for above, below in (decimal(match["size"]), decimal(match["pitch"] or "0"))
    )
    if not match["pitch"]:
        return (diameter,) if 0 < diameter <= 0.1 else ()
    return (diameter, pitch) if 0 < pitch < diameter <= 0.1 else ()


def _inch(match: re.Match[str]) -> tuple[float, ...]:
    pitch = float(match["pitch"])
    if not 3 <= pitch <= 100:
        return ()
    size = match["size"]
    if match["hash"] or (size.isdigit() and (int(size), pitch) in _NUMBERED and not match["mark"]):
        number = int(size) if size.isdigit() else 99
        return ((60 + 13 * number) * 25.4 / 1e6, pitch) if number <= 12 else ()
    above, below = _fraction(size)
    if not 0 < above <= 6 * below:
        return ()
    named = match["series"] or match["mark"] or not size.isdigit()
    return (above * 254 / (below * 10000), pitch) if named or (above == below and pitch in (8, 12, 14)) else ()


def _fraction(size: str) -> tuple[int, int]:
    """Above and below of "5/16", "1 1/16", "1-1/16", ".250" or "1"; (0, 1) where it is nonsense."""
    whole, _, rest = re.sub(r"[\s-]+", " ", size).rpartition(" ")
    if "/" in rest:
        above, below = (int(part) for part in rest.split("/"))
        return (0, 1) if not below or (whole and above >= below) else (int(whole or 0) * below + above, below)
    after = rest.partition(".")[2]
    return int(rest.replace(".", "")), 10 ** len(after)


def _dash(match: re.Match[str]) -> tuple[float, ...]:
    size = int(match["size"] or match["size2"])
    return (float(size),) if 1 <= size <= 64 else ()


def _gauge(match: re.Match[str]) -> tuple[float, ...]:
    text = match["size"] or match["size2"]
    if "/" in text:
        noughts = int(text.split("/")[0])
    elif set(text) == {"0"}:
        noughts = len(text)
    else:
        return (float(text),) if int(text) <= 50 else ()
    return (1.0 - noughts,) if 1 <= noughts <= 4 else ()


def _teeth(match: re.Match[str]) -> tuple[float, ...]:
    full, *missing = (float(part) for part in re.split(r"\s*-\s*", match[0]))
    return (full, *missing) if 2 <= full <= 1000 and all(missing) and sum(missing) < full else ()


_Form = tuple[str, str, Callable[[re.Match[str]], tuple[float, ...]]]
_GAUGE = r"[0-9]{1,2}|0{3,4}|[0-9]\s?/\s?0"
_METRIC_FORM = r"M\s?(?P<size>[0-9]{1,3}(?:\.[0-9]{1,3})?)(?:\s*[x*]\s*(?P<pitch>[0-9]{1,2}(?:\.[0-9]{1,3})?))?"
_INCH_FORM = r"""
    (?P<hash>[#]?)
    (?P<size>(?:[0-9]{1,2}(?:\s+|-))?[0-9]{1,3}/[0-9]{1,3}|[0-9]{1,2}|[0-9]?\.[0-9]{1,4})
    (?P<mark>\s*(?:"|''|in\b))?
    \s*-\s*(?P<pitch>[0-9]{1,3}(?:\.5)?)
    (?P<series>[\s-]*(?:UN[CFS]|UNEF|UNR?|UNJ[CF]?|BS[WF]))?
    (?:\s*-?\s*[123][AB])?"""
_FORMS: tuple[_Form, ...] = (
    ("metric_thread", _METRIC_FORM, _metric),
    ("inch_thread", _INCH_FORM, _inch),
    ("dash_size", r"-(?P<size>[0-9]{1,2})(?:\s?(?:AN|JIC))?|(?:AN\s?-?|JIC\s?-?|dash\s)(?P<size2>[0-9]{1,2})", _dash),
    ("wire_gauge", rf"(?P<size>{_GAUGE})\s*AWG|AWG\s*(?P<size2>{_GAUGE})", _gauge),
    ("tooth_pattern", r"[0-9]{1,4}(?:\s*-\s*[0-9]{1,3}){1,7}", _teeth),
)
# What counts only in a field that is due to hold this sort.
_DUE_FORMS: tuple[_Form, ...] = (
    ("dash_size", r"(?P<size>[0-9]{1,2})(?P<size2>)", _dash),
    ("wire_gauge", rf"(?P<size>{_GAUGE})(?:\s*(?:ga|gauge)\.?)?(?P<size2>)", _gauge),
)


def find(plain: str, text: str, forms: tuple[_Form, ...] = _FORMS) -> list[Designation]:
    """Every designation that the whole of `plain` (from `clean`) may be."""
    found = []
    for sort, pattern, numbers_of in forms:
        match = re.compile(pattern, re.VERBOSE | re.IGNORECASE).fullmatch(plain.strip())
        numbers = numbers_of(match) if match else ()
        if numbers:
            found.append(Designation(sort, numbers, text.strip()))
    return found


def refuse_pipe(plain: str, found: list[Designation], place: str) -> None:
    """NotationFault for 1/8 NPT, or a pair such as 1/8-27: a pipe thread, whose diameter is not its name."""
    named = bool(re.search(r"\b(?:NPT[FS]?|NPS[MF]?|BSP[TP]?)\b", plain, re.IGNORECASE))
    for one in found:
        if one.sort == "inch_thread" and "UN" not in plain.upper():
            sixteenths = one.numbers[0] / 0.0254 * 16
            named = named or any(abs(sixteenths - size) < 1e-6 and pitch == one.numbers[1] for size, pitch in _PIPE)
    if named:
        straight = f", or, if it is a straight thread, write {plain.strip()} UNS" if found else ""
        raise NotationFault(
            f"{short(plain)} is a pipe thread, which is wider than its name says",
            place=place,
            step=f"choose it in a field for pipe threads{straight}",
        )


def describe(found: Designation) -> str:
    """What it is, for a sentence: "an inch thread (5/16 in, 18 threads per inch)"."""
    phrase = SORTS[found.sort][0]
    if found.sort.endswith("thread"):
        size = (
            f"{found.numbers[0] / 0.0254:.4g} in" if found.sort == "inch_thread" else f"{found.numbers[0] * 1000:g} mm"
        )
        pitch = ""
        if len(found.numbers) > 1:
            threads = f"{found.numbers[1]:g} threads per inch"
            pitch = ", " + (threads if found.sort == "inch_thread" else f"pitch {found.numbers[1] * 1000:g} mm")
        return f"{phrase} ({size}{pitch})"
    return phrase


def designation(text: str, sort: str | None = None, *, place: str = "") -> Designation:
    """The thread, dash size, wire gauge or tooth pattern that `text` names, of `sort` if one is due.

    In a field due to hold a dash size or a wire gauge the bare number will do. NotationFault otherwise.
    """
    plain = clean(text, place)
    found = find(plain, text)
    refuse_pipe(plain, found, place)
    if sort is None:
        due, step = (
            "a thread, dash size, wire gauge or tooth pattern",
            "write it as M8x1.25, 5/16-18, -8, 10 AWG or 36-1",
        )
    else:
        due, example = SORTS[sort]
        step = f"write {due} as {example}"
    fit = [one for one in found if sort in (None, one.sort)]
    if not fit and sort:
        fit = find(plain, text, tuple(form for form in _DUE_FORMS if form[0] == sort))
    if len(fit) > 1:
        raise NotationFault(
            f"{text.strip()!r} may be {' or '.join(describe(one) for one in fit)}", place=place, step=step
        )
    if fit:
        return fit[0]
    if found:
        raise NotationFault(f"{text.strip()!r} is {describe(found[0])} where {due} is due", place=place, step=step)
    raise NotationFault(f"{short(text)} is not {due}", place=place, step=step)


def short(text: str) -> str:
    stripped = text.strip()
    return repr(stripped if len(stripped) <= 60 else stripped[:57] + "...")
