"""A record laid out in tables: what each row says follows from the record alone (and from what a part is based on)."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, cast

from sqlite_utils import Database

from kb.measure import Dimension, Instrument
from kb.records import KINDS, SHOWN, Feature
from kb.records.gauge_places import circuit_of
from kb.records.models import Checked
from kb.records.part import Part, as_reading, assemble
from kb.store import read, schema
from kb.store.opening import Connection

Rows = dict[str, list[dict[str, Any]]]
# Tables of records, each after those that it names; and the tables inside some of them.
TABLES = ("source", "instrument", "term", "part", "build", "incompatibility", "donor", "reading")
INNER = {
    "build": ("build_role", "build_alternative"),
    "incompatibility": ("incompatibility_party", "incompatibility_report", "incompatibility_review"),
    "donor": ("donor_part",),
}


_PLAIN = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False)
_CANONICAL = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False, sort_keys=True)


def canonical(value: Any) -> str:
    """JSON that is the same for equal values."""
    return _CANONICAL.encode(value)


def plain(value: Any) -> str:
    """JSON that keeps the order in which fields were given."""
    return _PLAIN.encode(value)


def put(db: Database, table: str, rows: Iterable[Mapping[str, Any]]) -> None:
    """Insert rows, each in place of the one with its key."""
    rows = list(rows)
    if not rows:
        return
    columns = list(rows[0])
    names = ", ".join(f'"{name}"' for name in columns)
    marks = ", ".join("?" for _ in columns)
    keys = db.table(table).pks
    rest = [name for name in columns if name not in keys]
    sets = ", ".join(f'"{name}" = excluded."{name}"' for name in rest)
    clash = ", ".join(f'"{name}"' for name in keys)
    update = f"DO UPDATE SET {sets}" if sets else "DO NOTHING"
    sql = f'INSERT INTO "{table}" ({names}) VALUES ({marks}) ON CONFLICT ({clash}) {update}'
    db.conn.executemany(sql, [tuple(row[name] for name in columns) for row in rows])


def store(db: Database, records: Sequence[Checked], now: str, revisions: Mapping[tuple[str, str], int]) -> None:
    """Write the records, all but their projections. `revisions` gives the number of each record's last change."""
    by_table: Rows = {}
    for one in records:
        table = "part" if one.kind in KINDS else one.kind
        tail = {
            "record": plain(one.record),
            "facts": plain(one.facts),
            "revision": revisions.get((table, one.id), 0) + 1,
            "updated": now,
        }
        row = part_row(one) if table == "part" else _OTHERS[table](one)
        by_table.setdefault(table, []).append({**row, **tail})
        found = found_by(one, row)
        if found:
            by_table.setdefault("search", []).append(found)
    for table in TABLES:
        put(db, table, by_table.get(table, ()))
    for row in by_table.get("search", ()):
        db.conn.execute("DELETE FROM search WHERE kind = ? AND record = ?", (row["kind"], row["record"]))
    append(db, "search", by_table.get("search", ()))
    _inner(db, records)


def project_after(db: Database, records: Sequence[Checked]) -> None:
    """Lay out every part that these stored records touch: an instrument's error may be in any of them."""
    touched = [one.id for one in records if one.kind in KINDS]
    if any(one.kind == "instrument" for one in records):
        touched = [row[0] for row in db.execute("SELECT id FROM part")]
    project(db, touched)


def drop(db: Database, kind: str, id: str) -> None:
    """Delete a record from every table that shows it; what was built in comes back."""
    con = db.conn
    if kind in KINDS:
        for table in schema.projections():
            column = "id" if table in KINDS else "part"
            con.execute(f'DELETE FROM "{table}" WHERE "{column}" = ?', (id,))
    for table in INNER.get(kind, ()):
        con.execute(f"DELETE FROM {table} WHERE {kind} = ?", (id,))
    con.execute("DELETE FROM search WHERE kind = ? AND record = ?", (kind, id))
    con.execute(f"DELETE FROM {'part' if kind in KINDS else kind} WHERE id = ?", (id,))
    if kind in ("source", "instrument"):
        put_built_in(db)
    if kind == "instrument":
        project(db, [row[0] for row in db.execute("SELECT id FROM part")])


def append(db: Database, table: str, rows: Iterable[Mapping[str, Any]]) -> None:
    """Insert rows whose key is a running number."""
    rows = list(rows)
    if rows:
        names = ", ".join(f'"{name}"' for name in rows[0])
        marks = ", ".join("?" for _ in rows[0])
        sql = f'INSERT INTO "{table}" ({names}) VALUES ({marks})'
        db.conn.executemany(sql, [tuple(row.values()) for row in rows])


def part_row(one: Checked) -> dict[str, Any]:
    """The row of a part in the table of parts, all but the record itself."""
    facts = one.facts
    price = facts.get("price")
    return {
        "id": one.id,
        "kind": one.kind,
        "name": facts["name"],
        "maker": facts.get("maker", ""),
        "based_on": facts.get("based_on") or None,
        "part_number": facts.get("part_number", ""),
        "price": None if price is None else float(price),
        "currency": facts.get("currency", "EUR"),
        "notes": facts.get("notes", ""),
        "supply": facts.get("supply", ""),
    }


def _source(one: Checked) -> dict[str, Any]:
    facts = one.facts
    named = {name: facts.get(name, "") for name in ("title", "sort", "reference", "date")}
    return {"id": one.id, **named, "built_in": 0}


def _instrument(one: Checked) -> dict[str, Any]:
    return instrument_row(one.facts, built_in=False)


def instrument_row(facts: Mapping[str, Any], *, built_in: bool) -> dict[str, Any]:
    """The row of an instrument in normal form."""
    return {
        "id": facts["id"],
        "name": facts["name"],
        "measures": ", ".join(facts["measures"]),
        "half_width_si": float(facts["half_width"]),
        "relative": float(facts["relative"]),
        "shape": facts["shape"],
        "resolution_si": float(facts["resolution"]),
        "minutes": float(facts["minutes"]),
        "where_used": ", ".join(facts["where"]),
        "cost": facts["cost"],
        "hold": facts["hold"],
        "origin": facts["origin"] or None,
        "built_in": int(built_in),
    }


def _term(one: Checked) -> dict[str, Any]:
    vocabulary, _, code = one.id.partition("/")
    return {"id": one.id, "vocabulary": vocabulary, "code": code, "meaning": one.facts["meaning"]}


def _build(one: Checked) -> dict[str, Any]:
    facts = one.facts
    return {
        "id": one.id,
        "name": facts["name"],
        "own_limits": plain(facts.get("own_limits", [])),
        "fits_at": facts.get("fits_at", 0.975),
        "not_at": facts.get("not_at", 0.025),
        "notes": facts.get("notes", ""),
    }


def _incompatibility(one: Checked) -> dict[str, Any]:
    facts = one.facts
    names = ("symptom", "cause", "found", "found_date", "by", "remedy", "milestone", "status")
    return {
        "id": one.id,
        "title": facts["title"],
        **{name: facts.get(name, "") for name in names},
        "evidence": plain(facts.get("evidence", [])),
        "harm": ", ".join(facts["harm"]),
    }


def _donor(one: Checked) -> dict[str, Any]:
    names = ("name", "sort", "car", "years", "place", "seen", "notes")
    return {"id": one.id, **{name: one.facts.get(name, "") for name in names}}


def _reading(one: Checked) -> dict[str, Any]:
    facts = one.facts
    return {
        "id": one.id,
        "build": facts["build"],
        "circuit": circuit_of(facts["place"]),
        "place": facts["place"],
        "quantity": facts["quantity"],
        "value_si": facts.get("si"),
        "code": facts.get("code"),
        "half_width_si": facts.get("half"),
        "text": facts["text"],
        "instrument": facts.get("with") or None,
        "state": facts["state"],
        "speed_rpm": facts["speed"] / SHOWN["speed"][1] if facts.get("speed") else None,
        "temperature_k": facts.get("temperature") or None,
        "start": facts.get("start"),
        **{name: facts.get(name, "") for name in ("date", "by", "note", "photo")},
    }


_OTHERS = {
    "source": _source,
    "instrument": _instrument,
    "term": _term,
    "build": _build,
    "incompatibility": _incompatibility,
    "donor": _donor,
    "reading": _reading,
}


def found_by(one: Checked, row: Mapping[str, Any]) -> dict[str, Any] | None:
    """The row of the search table."""
    if one.kind in ("source", "instrument", "term"):
        return None
    names = {"name": row.get("name", row.get("title", "")), "maker": row.get("maker", "")}
    if one.kind == "incompatibility":
        seen = " ".join(each["text"] for each in one.facts.get("evidence", ()))
        words = {"notes": f"{row['remedy']} {seen}".strip(), "symptom": row["symptom"], "cause": row["cause"]}
    elif one.kind == "donor":
        words = {"notes": " ".join(row[name] for name in ("car", "years", "place", "notes") if row[name])}
    elif one.kind == "reading":
        names["name"] = f"{row['place']}: {row['text']}"
        words = {"notes": f"{row['build']} {row['note']}".strip()}
    else:
        number = row.get("part_number", "")
        words = {"notes": f"{number} {row['notes']}".strip()}
    return {"kind": one.kind, "record": one.id, **names, "symptom": "", "cause": "", **words}


def _inner(db: Database, records: Sequence[Checked]) -> None:
    """The tables inside builds, incompatibilities and donors."""
    for one in records:
        for table in INNER.get(one.kind, ()):
            db.conn.execute(f"DELETE FROM {table} WHERE {one.kind} = ?", (one.id,))
        if one.kind == "build":
            put(db, "build_role", [
                {"build": one.id, "role": role, "part": each["part"], **_in_role(each)}
                for role, each in one.facts.get("roles", {}).items()
            ])  # fmt: skip
            put(db, "build_alternative", [
                {"build": one.id, "role": role, "part": each["part"], "number": number, **_in_role(each)}
                for role, several in one.facts.get("alternatives", {}).items()
                for number, each in enumerate(several, 1)
            ])  # fmt: skip
        elif one.kind == "donor":
            put(db, "donor_part", [
                {"donor": one.id, "number": number, "part": each["part"], "price": each.get("price"),
                 "currency": each.get("currency", "EUR"), "note": each.get("note", "")}
                for number, each in enumerate(one.facts.get("carries", ()), 1)
            ])  # fmt: skip
        elif one.kind == "incompatibility":
            put(db, "incompatibility_party", [
                {"incompatibility": one.id, "number": number, "role": each["role"], "part": each.get("part") or None,
                 "conditions": plain(each.get("where", {}))}
                for number, each in enumerate(one.facts["parties"], 1)
            ])  # fmt: skip
            put(db, "incompatibility_report", [
                {"incompatibility": one.id, "number": number, "by": each["by"], "date": each["date"],
                 "agrees": int(each.get("agrees", True)), "text": each.get("text", "")}
                for number, each in enumerate(one.facts.get("reports", ()), 1)
            ])  # fmt: skip
            put(db, "incompatibility_review", [
                {"incompatibility": one.id, "number": number, **each}
                for number, each in enumerate(one.facts.get("reviews", ()), 1)
            ])  # fmt: skip


def _in_role(said: Mapping[str, Any]) -> dict[str, Any]:
    price = said.get("price")
    return {
        "owned": int(said.get("owned", False)),
        "price": None if price is None else float(price),
        "note": said.get("note", ""),
    }


def put_built_in(db: Database) -> None:
    """The built-in sources and instruments, where no record goes before them."""
    from kb.measure import instruments
    from kb.sources import SOURCES

    none = {"record": None, "facts": None, "revision": None, "updated": None}
    for table in ("instrument", "source"):
        db.conn.execute(f"DELETE FROM {table} WHERE built_in")
    own = {table: {row[0] for row in db.execute(f"SELECT id FROM {table}")} for table in ("source", "instrument")}
    put(db, "source", [
        {"id": one.id, "title": one.title, "sort": one.sort, "reference": "", "date": "", "built_in": 1, **none}
        for one in SOURCES.values() if one.id not in own["source"]
    ])  # fmt: skip
    put(db, "instrument", [
        {**instrument_row(one._asdict(), built_in=True), **none}
        for one in instruments().values() if one.id not in own["instrument"]
    ])  # fmt: skip


def project(db: Database, ids: Sequence[str], *, clear: bool = True) -> None:
    """Lay out the parts `ids`, and all that is based on them, in the tables of kinds, entries and dimensions."""
    con = cast(Connection, db.conn)
    all_ids = _with_descendants(db, ids)
    if clear:
        for table in schema.projections():
            column = "id" if table in KINDS else "part"
            con.executemany(f'DELETE FROM "{table}" WHERE "{column}" = ?', [(id,) for id in all_ids])
    tools = read.instruments(con)
    for start in range(0, len(all_ids), 500):
        by_table: Rows = {}
        for id, line in read.lines(con, all_ids[start : start + 500]).items():
            part = assemble(id, line, tools)
            _lay_out(part, by_table)
            by_table.setdefault("dimension", []).extend(readings(id, part.kind, line[-1], tools))
        for table, rows in by_table.items():
            append(db, table, rows)


def _with_descendants(db: Database, ids: Sequence[str]) -> list[str]:
    children: dict[str, list[str]] = {}
    for id, based_on in db.execute("SELECT id, based_on FROM part WHERE based_on IS NOT NULL"):
        children.setdefault(based_on, []).append(id)
    found = dict.fromkeys(ids)
    open_ids = list(ids)
    while open_ids:
        for child in children.get(open_ids.pop(), ()):
            if child not in found:
                found[child] = None
                open_ids.append(child)
    return list(found)


def cell(feature: Feature, value: Any) -> Any:
    """What stands in the column of a feature for a fact of a part."""
    if value is None:
        return None
    if isinstance(value, Dimension):
        return value.value / feature.shown_scale
    if feature.sort == "position":
        return value / feature.shown_scale
    if feature.sort == "codes":
        return ", ".join(sorted(value))
    return int(value) if feature.sort == "flag" else value


def _cells(features: Mapping[str, Feature], values: Mapping[str, Any]) -> dict[str, Any]:
    return {
        feature.column: cell(feature, values.get(name))
        for name, feature in features.items()
        if feature.sort != "list" and name != "id"
    }


def _lay_out(part: Part, by_table: Rows) -> None:
    features = KINDS[part.kind].features
    by_table.setdefault(part.kind, []).append({"id": part.id, **_cells(features, part.facts)})
    for name, feature in features.items():
        if feature.item is None:
            continue
        table = by_table.setdefault(schema.entry_table(feature.item), [])
        for number, entry in enumerate(part.facts.get(name, ()), 1):
            head = {"part": part.id, "feature": name, "id": entry["id"], "number": number}
            table.append({**head, **_cells(feature.item.features, entry)})


def readings(id: str, kind: str, facts: Mapping[str, Any], tools: Mapping[str, Instrument]) -> list[dict[str, Any]]:
    """The readings that the part itself states, one row each."""
    return [
        {"part": id, "feature": path.partition(".")[0], "path": path, **reading(feature, said, f"{id}.{path}", tools)}
        for path, feature, said in readings_in(kind, facts)
    ]


def reading(feature: Feature, said: Mapping[str, Any], place: str, tools: Mapping[str, Instrument]) -> dict[str, Any]:
    """What the row of a reading says beside whose it is."""
    one = as_reading(said, place, tools)
    term = one.term(feature.quantity)
    return {
        "value_si": one.value,
        "half_width_si": said.get("half"),
        "shape": term.shape,
        "standard_uncertainty_si": term.u,
        "how": one.how,
        "instrument": one.instrument or None,
        "source": one.source or None,
        "date": one.date,
        "by": one.by,
        "text": one.text,
        "note": said.get("note", ""),
        "supersedes": int(one.supersedes),
    }


def readings_in(kind: str, facts: Mapping[str, Any]) -> Iterable[tuple[str, Feature, Mapping[str, Any]]]:
    """Each reading in the facts of a part of `kind`, with its path and feature."""
    for name, feature in KINDS[kind].features.items():
        if feature.sort == "dimension":
            for said in facts.get(name, ()):
                yield name, feature, said
        elif feature.item is not None:
            for entry in facts.get(name, ()):
                for inner, deep in feature.item.features.items():
                    if deep.sort == "dimension":
                        for said in entry.get(inner, ()):
                            yield f"{name}.{entry['id']}.{inner}", deep, said
