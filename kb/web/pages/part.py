"""A part: what is known of it and how, what is not and how to measure it, what it mates with, clashes and history."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kb.explain import HOW, known_as
from kb.measure import Dimension, Instrument, Reading, instruments
from kb.records import KINDS, Feature
from kb.records.part import Part, as_reading
from kb.roles import ROLES
from kb.store import photos, read
from kb.unit_show import SYSTEMS
from kb.unit_show import show as in_unit
from kb.web import pictures, queries
from kb.web.addresses import address
from kb.web.asking import Ask, Page
from kb.web.pages.part_mates import around, as_json, carriers, mates_of
from kb.web.pages.part_measure import form_of

MOST = 200  # of a kind in the list; the table has all


class Told(NamedTuple):
    """One reading in words, with all that is known of its origin.

    known: how it is known (measured, from a drawing, ...). photo: name of a picture that is there. of: name of the part
    that it was recorded of, empty for this one. aside: a later reading sets it aside.
    """

    value: str
    known: str
    tool: str
    source: str
    by: str
    date: str
    note: str
    photo: str
    of: str
    aside: bool


class Cell(NamedTuple):
    """A feature's value in words, and every reading behind it, oldest first."""

    name: str
    meaning: str
    value: str
    known: str = ""
    contradiction: str = ""
    readings: tuple[Told, ...] = ()


class Grid(NamedTuple):
    """A list feature: a row an entry."""

    name: str
    meaning: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Unknown(NamedTuple):
    """A feature that nobody recorded, and how to measure it."""

    name: str
    meaning: str
    measure: str
    tools: tuple[str, ...]


def listed(ask: Ask) -> Page:
    """The parts, by kind."""
    counts = queries.counts(ask.con)
    found = {kind: rows for kind, rows in queries.parts(ask.con, KINDS, MOST).items() if rows}
    data = {
        kind: {
            "count": counts[kind],
            "parts": [{"id": each.id, "name": each.name, "maker": each.maker} for each in rows],
        }
        for kind, rows in found.items()
    }
    return Page("matchmark/parts.html", "Parts", {"kinds": found, "counts": counts}, data)


def units_of(ask: Ask) -> str:
    """The units that the visitor chose."""
    units = ask.arg("units")
    return units if units in SYSTEMS else "mm"


def features_of(ask: Ask, part: Part, units: str) -> dict[str, Any]:
    """What the page says of the part's features."""
    kind = KINDS[part.kind]
    lines = read.lines(ask.con, [part.id])[part.id]
    table = {**instruments(), **read.instruments(ask.con)}
    cells, grids, unknown = [], [], []
    for feature in kind.features.values():
        value = part.facts.get(feature.name)
        if value is None:
            tools = tuple(table[name].name for name in feature.tools if name in table)
            unknown.append(Unknown(feature.name, feature.meaning, feature.measure, tools))
        elif feature.sort == "list":
            grids.append(_grid(feature, value, units))
        else:
            cells.append(_cell(feature, value, units, _told(ask, part, feature, lines, units, table)))
    return {"cells": cells, "grids": grids, "unknown": unknown}


def show(ask: Ask) -> Page:
    """One part."""
    id = ask.vars["id"]
    part = ask.base.part(id)
    units = units_of(ask)
    line = read.ancestry(ask.con, [id])[id]
    ancestors = queries.named(ask.con, line[1:])
    record = read.record(ask.con, part.kind, id)
    clashes = queries.clashes(ask.con, line)
    builds = queries.builds_touched(ask.con, id)
    beside = ask.arg("beside") if "beside" in ask.args else (builds[0][0] if builds else "")
    neighbours = mates_of(ask, id, beside)
    carried = carriers(ask, line)
    history = queries.history(ask.con, part.kind, id)
    roles = [name for name, role in ROLES.items() if role.kind.kind == part.kind]
    values = {
        "part": part,
        "kind": KINDS[part.kind],
        "units": units,
        "record": record,
        "line": [ancestors[each] for each in line[1:] if each in ancestors],
        "heirs": queries.based_on(ask.con, id),
        "builds": builds,
        "all_builds": queries.builds(ask.con),
        "beside": beside,
        "around": around(neighbours, id),
        "carried": carried,
        "drawing": pictures.part(part, units),
        "form": form_of(ask, part, {"where": ask.arg("where")[:200]}),
        "faults": {},
        "may_write": ask.may_write,
        "clashes": clashes,
        "history": history,
        "roles": roles,
        "lists": [feature.name for feature in KINDS[part.kind].features.values() if feature.item is not None],
        "row": address(ask.site.name, part.kind, id),
        **features_of(ask, part, units),
    }
    data = {
        "id": id,
        "kind": part.kind,
        "name": part.name,
        "maker": part.maker,
        "based_on": part.based_on,
        "features": {name: _plain(value) for name, value in part.facts.items()},
        "unknown": [each.name for each in values["unknown"]],
        "record": record,
        "incompatibilities": [{"id": each["id"], "title": each["title"], "status": each["status"]} for each in clashes],
        "history": [each._asdict() for each in history],
        "mates": as_json(neighbours),
        "carried_by": carried,
        "builds": [{"id": build, "role": role, "part": used} for build, _, role, used in builds],
    }
    return Page("matchmark/part.html", part.name, values, data)


def value_words(feature: Feature, value: Any, units: str) -> str:
    """A value as people read it, with twice its standard uncertainty."""
    if value is None:
        return "not recorded"
    if isinstance(value, Dimension):
        spread = f" ± {in_unit(2 * value.u, feature.quantity, units)}" if value.u else ""
        return in_unit(value.value, feature.quantity, units) + spread
    if feature.sort == "position":
        return in_unit(value, feature.quantity, units)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, frozenset):
        return ", ".join(sorted(value)) or "none"
    return str(value).replace("_", " ") if feature.options else str(value)


def _cell(feature: Feature, value: Any, units: str, told: tuple[Told, ...]) -> Cell:
    words = value_words(feature, value, units)
    if not isinstance(value, Dimension):
        return Cell(feature.name, feature.meaning, words)
    return Cell(feature.name, feature.meaning, words, known_as(value), value.contradiction, told)


def _told(
    ask: Ask, part: Part, feature: Feature, lines: list[dict[str, Any]], units: str, table: Mapping[str, Instrument]
) -> tuple[Told, ...]:
    """Every reading of a dimension over all that the part is based on, those that were set aside too."""
    if feature.sort != "dimension":
        return ()
    said = [(facts, each) for facts in lines for each in facts.get(feature.name, ())]
    live = max((at for at, (_, each) in enumerate(said) if each.get("supersedes")), default=0)
    own = read.instruments(ask.con)
    made = []
    for at, (facts, each) in enumerate(said):
        reading = as_reading(each, part.id, own)
        tool = table[reading.instrument].name if reading.instrument in table else reading.instrument
        photo = each.get("photo", "")
        made.append(
            Told(
                _reading(reading, feature, units, table),
                HOW.get(reading.how, reading.how),
                tool,
                reading.source,
                reading.by,
                reading.date,
                each.get("note", ""),
                photo if photos.there(ask.site.path, photo) else "",
                str(facts.get("name", facts.get("id", ""))) if facts.get("id", part.id) != part.id else "",
                at < live,
            )
        )
    return tuple(made)


def _reading(reading: Reading, feature: Feature, units: str, table: Mapping[str, Instrument]) -> str:
    value = in_unit(reading.value, feature.quantity, units)
    half = reading.half_width
    if half is None and reading.instrument in table:
        half = table[reading.instrument].half_width_at(reading.value)
    if half is None:
        half = reading.term(feature.quantity).half_width
    written = f", written {reading.text}" if reading.text else ""
    return f"{value} ± {in_unit(half, feature.quantity, units)} at most{written}"


def _grid(feature: Feature, entries: Any, units: str) -> Grid:
    assert feature.item is not None
    features = feature.item.features
    used = [name for name in features if any(name in entry for entry in entries)]
    rows = tuple(tuple(value_words(features[name], entry.get(name), units) for name in used) for entry in entries)
    return Grid(feature.name, feature.meaning, tuple(used), rows)


def _plain(value: Any) -> Any:
    if isinstance(value, Dimension):
        return {
            "value": value.value,
            "standard_uncertainty": value.u,
            "how": value.how,
            "source": value.source,
            "instrument": value.instrument,
            "date": value.date,
            "contradiction": value.contradiction,
            "readings": [
                {"value": each.value, "half_width": each.half_width, "origin": each.origin(), "text": each.text}
                for each in value.readings
            ],
        }
    if isinstance(value, tuple):
        return [{name: _plain(each) for name, each in entry.items()} for entry in value]
    return sorted(value) if isinstance(value, frozenset) else value
