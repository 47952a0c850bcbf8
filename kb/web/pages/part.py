"""A part: what is known of it and how, what is not and how to measure it, the clashes that name it, its history."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from kb.explain import known_as
from kb.measure import Dimension, Instrument, Reading, instruments
from kb.records import KINDS, Feature
from kb.records.part import Part
from kb.roles import ROLES
from kb.store import read
from kb.unit_show import SYSTEMS
from kb.unit_show import show as in_unit
from kb.web import queries
from kb.web.addresses import address
from kb.web.asking import Ask, Page

MOST = 200  # of a kind in the list; the table has all


class Cell(NamedTuple):
    """A feature's value in words. readings: one row each, when there is more to say than the value."""

    name: str
    meaning: str
    value: str
    known: str = ""
    contradiction: str = ""
    readings: tuple[tuple[str, str], ...] = ()


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
            cells.append(_cell(feature, value, units, table))
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
    history = queries.history(ask.con, part.kind, id)
    roles = [name for name, role in ROLES.items() if role.kind.kind == part.kind]
    values = {
        "part": part,
        "kind": KINDS[part.kind],
        "units": units,
        "record": record,
        "line": [ancestors[each] for each in line[1:] if each in ancestors],
        "heirs": queries.based_on(ask.con, id),
        "builds": queries.builds_with(ask.con, id),
        "clashes": clashes,
        "history": history,
        "roles": roles,
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


def _cell(feature: Feature, value: Any, units: str, table: Mapping[str, Instrument]) -> Cell:
    words = value_words(feature, value, units)
    if not isinstance(value, Dimension):
        return Cell(feature.name, feature.meaning, words)
    rows = tuple(_reading(each, feature, units, table) for each in value.readings)
    return Cell(feature.name, feature.meaning, words, known_as(value), value.contradiction, rows)


def _reading(reading: Reading, feature: Feature, units: str, table: Mapping[str, Instrument]) -> tuple[str, str]:
    value = in_unit(reading.value, feature.quantity, units)
    half = reading.half_width
    if half is None and reading.instrument in table:
        half = table[reading.instrument].half_width_at(reading.value)
    if half is None:
        half = reading.term(feature.quantity).half_width
    written = f", written {reading.text}" if reading.text else ""
    return f"{value} ± {in_unit(half, feature.quantity, units)} at most", reading.origin() + written


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
