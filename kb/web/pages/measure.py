"""What to measure for a build: the list with a field for each reading, what entering them changed, and the sheet."""

from __future__ import annotations

import re
import threading
from collections import OrderedDict
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from kb.errors import Fault, Faults, StoreFault
from kb.measure import Instrument
from kb.reading_sheet import Entry, Outcome, enter, from_form
from kb.roles import base_role
from kb.rules._rule import MILESTONES
from kb.say import compare as comparing
from kb.say.measure import PLACES, Line, as_json, tell
from kb.unit_show import SYSTEMS
from kb.web import queries
from kb.web.addresses import address, query
from kb.web.asking import Ask, Page, must_keep
from kb.web.showing import MILESTONES as MILESTONE_WORDS
from kb.worth import Advice, Measurement
from kb.worth.ordering import ORDERS, WHERES

MOST_LINES = 80  # readings with a field on one page
LONGEST = 200  # characters of a reading
MOST_KEPT = 16  # lists that are kept
_LINE_PLACE = re.compile(r"line ([0-9]+)")
_COLUMNS = ("where", "value", "tool", "old")
_LOCK = threading.Lock()


class Row(NamedTuple):
    """A reading with its field: its id, what was typed, and what there is to choose from."""

    line: Line
    field: str
    typed: str
    tool: str
    tools: tuple[Instrument, ...]
    choices: tuple[str, ...]


class Filter(NamedTuple):
    """What the list is narrowed to."""

    milestone: str
    at: str
    order: str
    units: str

    def query(self, **other: str) -> str:
        said = {**self._asdict(), **other}
        usual = {"order": "minutes", "units": "mm"}
        return query({name: value for name, value in said.items() if value and usual.get(name) != value})


def show(ask: Ask) -> Page:
    """The list, `?milestone=prime&at=yard&order=tool&units=in`."""
    return _page(ask, {}, {})


def take(ask: Ask) -> Page:
    """Write what was read, and show which verdicts changed; with a fault, the form again with what was typed."""
    typed = {row["where"]: row for row in _rows(ask.form)}
    if any(row["old"] and row["value"].strip() for row in typed.values()):
        must_keep(ask)
    ask.base.record_of(ask.vars["id"])
    entries = from_form((row["where"], row["value"], row["tool"], bool(row["old"])) for row in typed.values())
    numbered = [entry._replace(line=number) for number, entry in enumerate(entries, 1)]
    try:
        outcome = enter(ask.site.path, ask.vars["id"], numbered, by=ask.user, origin="page")
    except Faults as found:
        return _page(ask, typed, _by_field(found.faults, numbered), status=400)
    except StoreFault:
        raise
    except Fault as fault:
        return _page(ask, typed, _by_field([fault], numbered), status=400)
    return _entered(ask, outcome)


def sheet(ask: Ask) -> Page:
    """The sheet to print."""
    found = _advice(ask)
    chosen = _filter(ask)
    told = tell(found, chosen.units)
    values = {"told": told, "build": found.build, "back": _address(ask, chosen), "chosen": chosen}
    return Page("matchmark/measure_sheet.html", told.title, values, as_json(found, chosen.units))


_KEPT: OrderedDict[tuple[str, int, str, Filter, str], Advice] = OrderedDict()


# -- reading what was asked --------------------------------------------------------------------------------------------


def _filter(ask: Ask) -> Filter:
    units = ask.arg("units") or "mm"
    if units not in SYSTEMS:
        raise Fault(f"there is no system of units {units[:40]!r}", place="units", step=f"use: {', '.join(SYSTEMS)}")
    return Filter(ask.arg("milestone"), ask.arg("at"), ask.arg("order") or "minutes", units)


def _advice(ask: Ask) -> Advice:
    """The advice, kept until the base changes: weighing many readings takes its time."""
    chosen = _filter(ask)._replace(units="")
    key = (ask.site.path, queries.stamp(ask.con), ask.vars["id"], chosen, ask.user)
    with _LOCK:
        if key in _KEPT:
            _KEPT.move_to_end(key)
            return _KEPT[key]
    found = ask.base.measure(
        ask.vars["id"], milestone=chosen.milestone, at=chosen.at, order=chosen.order, by=ask.user
    )  # fmt: skip
    with _LOCK:
        _KEPT[key] = found
        while len(_KEPT) > MOST_KEPT:
            _KEPT.popitem(last=False)
    return found


def _rows(form: Mapping[str, list[str]]) -> list[dict[str, str]]:
    columns = {name: form.get(name, []) for name in _COLUMNS}
    count = min(MOST_LINES, max(map(len, columns.values())))
    return [
        {name: texts[row].strip()[:LONGEST] if row < len(texts) else "" for name, texts in columns.items()}
        for row in range(count)
    ]


def _by_field(faults: Sequence[Fault], entries: Sequence[Entry]) -> dict[str, Fault]:
    """Faults by the field that they belong to; by an empty name where there is none."""
    found: dict[str, Fault] = {}
    for fault in faults:
        match = _LINE_PLACE.match(fault.place)
        at = int(match.group(1)) - 1 if match else -1
        where = entries[at].where if 0 <= at < len(entries) else ""
        if not where:
            where = next((each.where for each in entries if each.where in fault.place), "")
        found.setdefault(_field(where) if where else "", fault)
    return found


def _field(where: str) -> str:
    """The id of a reading's field."""
    return "reading-" + re.sub(r"[^A-Za-z0-9]+", "-", where)


# -- showing it --------------------------------------------------------------------------------------------------------


def _page(ask: Ask, typed: Mapping[str, Mapping[str, str]], faults: Mapping[str, Fault], *, status: int = 200) -> Page:
    found = _advice(ask)
    chosen = _filter(ask)
    told = tell(found, chosen.units)
    readings = {reading.key: reading for reading in found.readings}
    groups, left = [], MOST_LINES
    for _, heading, lines in told.where:
        rows = [_row(ask, line, readings[line.key], typed) for line in lines[: max(left, 0)]]
        left -= len(lines)
        if rows:
            groups.append((heading, rows))
    listed = {row.line.name for _, rows in groups for row in rows}
    values = {
        "told": told,
        "build": found.build,
        "groups": groups,
        "more": max(-left, 0),
        "faults": faults,
        "lost": [(where, row["value"]) for where, row in typed.items() if where not in listed and row["value"]],
        "chosen": chosen,
        "milestones": [(each, MILESTONE_WORDS[each]) for each in MILESTONES],
        "places": [(each, PLACES[each]) for each in WHERES],
        "orders": ORDERS,
        "path": address("build", ask.vars["id"], "measure"),
        "here": _address(ask, chosen),
        "sheet": f"{address('build', ask.vars['id'], 'measure', 'sheet')}{_tail(chosen)}",
        "twin": f"{address('build', ask.vars['id'], 'measure')}.json{_tail(chosen)}",
        "may_write": ask.may_write,
    }
    return Page("matchmark/measure.html", told.title, values, as_json(found, chosen.units), status)


def _row(ask: Ask, line: Line, reading: Measurement, typed: Mapping[str, Mapping[str, str]]) -> Row:
    said = typed.get(line.name, {})
    feature = reading.leaf.feature
    tools: tuple[Instrument, ...] = ()
    if feature.sort == "dimension":
        tools = tuple(each for each in (line.tool, *(tool for tool, _ in reading.rivals)) if each.id)
    choices = () if feature.sort == "codes" else line.choices
    if feature.sort == "choice" and feature.vocabulary:
        terms = (each.partition("/") for each in ask.base.ids("term"))
        choices = tuple(code for vocabulary, _, code in terms if vocabulary == feature.vocabulary)
    tool = line.tool.id if tools else ""
    return Row(line, _field(line.name), said.get("value", ""), said.get("tool", tool), tools, choices)


def _tail(chosen: Filter, **other: str) -> str:
    words = chosen.query(**other)
    return f"?{words}" if words else ""


def _address(ask: Ask, chosen: Filter) -> str:
    return f"{address('build', ask.vars['id'], 'measure')}{_tail(chosen)}"


def _entered(ask: Ask, outcome: Outcome) -> Page:
    chosen = _filter(ask)
    told = comparing.tell(outcome.comparison, chosen.units)
    values: dict[str, Any] = {
        "told": told,
        "build": outcome.comparison.after.build,
        "verdict": outcome.comparison.after.verdict,
        "entries": outcome.entries,
        "made": [(base_role(each.where.partition(".")[0]), done.part) for each, done in
                 zip(outcome.entries, outcome.done, strict=True) if done.made],
        "against": outcome.against,
        "again": _address(ask, chosen),
    }  # fmt: skip
    return Page("matchmark/measured.html", "Readings entered", values, comparing.as_json(outcome.comparison))
