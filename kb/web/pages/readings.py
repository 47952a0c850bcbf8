"""What gauges showed on a build: each reading held against its bands, its course over the starts, a form for more."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from kb.errors import Fault, Faults
from kb.gauges import CIRCUITS, STATES, places
from kb.measure import instruments
from kb.ready.bands import BandFinding, series
from kb.say.bands import as_json, bands_words, series_title, told
from kb.store import read
from kb.web import pictures
from kb.web.addresses import address
from kb.web.asking import Ask, Go, Page, must_write
from kb.web.pages.part import units_of

FIELDS = ("place", "value", "tolerance", "with", "state", "speed", "temperature", "start", "date", "note")
MOST_TYPED = 400


def show(ask: Ask) -> Page:
    """The readings of one build."""
    return _page(ask, {}, {})


def take(ask: Ask) -> Page | Go:
    """Write a reading down, or show the form again with what is wrong at each field."""
    from kb.store.change import add_gauge_reading

    must_write(ask)
    id = ask.vars["id"]
    read.build(ask.con, id)
    typed = {name: ask.field(name).replace("\r\n", "\n").strip()[:MOST_TYPED] for name in FIELDS}
    faults = _missing(typed)
    if not faults:
        record: dict[str, Any] = {name: text for name, text in typed.items() if text}
        if "start" in record:
            record["start"] = int(record["start"])
        try:
            add_gauge_reading(ask.site.path, {"build": id, **record}, by=ask.user, origin="page")
        except Faults as found:
            for fault in found.faults:
                faults.setdefault(*_at(fault))
        except Fault as fault:
            faults.setdefault(*_at(fault))
        else:
            return Go(address("build", id, "readings") + "#readings")
    return _page(ask, typed, faults)


def _missing(typed: Mapping[str, str]) -> dict[str, Fault]:
    faults = {}
    for name, words, step in (
        ("place", "where it was read is not chosen", "choose a place"),
        ("value", "the value is missing", "write it with its unit, as 3.2 bar, or one of the words for this place"),
        ("state", "what the engine did is not chosen", "choose one"),
    ):
        if not typed[name]:
            faults[name] = Fault(words, place=name, step=step)
    if typed["start"] and not (typed["start"].isdecimal() and typed["start"].isascii() and len(typed["start"]) < 7):
        faults["start"] = Fault(f"{typed['start'][:20]!r} is no number of a start", step="write it in digits: 1, 2, 3")
    return faults


def _at(fault: Fault) -> tuple[str, Fault]:
    """The field that a fault belongs to, read off its place or the head of its message."""
    if fault.place in FIELDS:
        return fault.place, fault
    head, colon, rest = fault.message.partition(": ")
    if colon and head in FIELDS:
        return head, Fault(rest, place=head, step=fault.step)
    return "", fault


def _page(ask: Ask, typed: Mapping[str, str], faults: Mapping[str, Fault]) -> Page:
    id = ask.vars["id"]
    system = units_of(ask)
    build, record = _build(ask, id)
    found = ask.base.judged_readings(id) if build is not None else []
    words = told(found, system)
    courses = [
        {
            "title": series_title(each),
            "picture": pictures.trend(each, system, f"t{number}"),
            "bands": bands_words(each.found[-1].bands, each.found[-1].reading.quantity, system),
            "rows": [(one.reading.start, one.reading.date, told([one], system)[0]) for one in each.found],
        }
        for number, each in enumerate(series(found, 3))
    ]
    starts = sorted({each.reading.start or 0 for each in found})
    values = {
        "id": id,
        "name": record.name,
        "units": system,
        "by_start": [(start, _of(start, found, words)) for start in reversed(starts)],
        "courses": courses,
        "places": {circuit: [each for each in places().values() if each.circuit == circuit] for circuit in CIRCUITS},
        "states": STATES,
        "tools": sorted((each.id, each.name) for each in instruments().values()),
        "typed": {**dict.fromkeys(FIELDS, ""), "start": str(starts[-1] if starts else 1), **typed},
        "faults": faults,
        "may_write": ask.may_write,
    }
    data = as_json(build, found, system) if build is not None else {"build": id, "readings": []}
    heading = f"Readings of {record.name}"
    return Page("matchmark/readings.html", heading, values, data, 400 if faults else 200)


def _build(ask: Ask, id: str) -> Any:
    """The build (None while nothing fills it) and its record."""
    record = read.build(ask.con, id)
    if not record.roles:
        return None, record
    return ask.base.build(id), record


def _of(start: int, found: list[BandFinding], words: list[Any]) -> list[Any]:
    return [told_ for each, told_ in zip(found, words, strict=True) if (each.reading.start or 0) == start]
