"""The tables: fixed ones by numbered steps, and projections that follow the declarations of kinds.

A projection (the table of a kind, of a list's entries, of dimensions; the built-in sources and instruments) holds
nothing that the records do not say, so when a declaration changes it is dropped and made anew from them: adding a
feature to a kind needs no migration. Fixed tables change only by a new step.
"""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from kb.errors import StoreFault
from kb.records import KINDS, Feature, Item
from kb.store.opening import APPLICATION_ID, VERSION, connect, fault_of, heal, look

STEPS = Migrations("matchmark")
RECORD = {"record": str, "facts": str, "revision": int, "updated": str}
_TYPES: dict[str, type] = {"dimension": float, "position": float, "count": int, "flag": int}


@STEPS()
def step_1_records(db: Database) -> None:
    """Records, their changes, and the search."""
    _table(db, "meta", {"key": str, "value": str}, pk="key")
    _table(db, "part", {
        "id": str, "kind": str, "name": str, "maker": str, "based_on": str, "part_number": str, "price": float,
        "currency": str, "notes": str, **RECORD,
    }, references={"based_on": "part"}, required=("kind", "name", *RECORD), index=("kind", "based_on"))  # fmt: skip
    _table(db, "source", {
        "id": str, "title": str, "sort": str, "reference": str, "date": str, "built_in": int, **RECORD,
    }, required=("title", "sort", "built_in"))  # fmt: skip
    _table(db, "instrument", {
        "id": str, "name": str, "measures": str, "half_width_si": float, "relative": float, "shape": str,
        "resolution_si": float, "minutes": float, "where_used": str, "cost": str, "hold": str, "origin": str,
        "built_in": int, **RECORD,
    }, required=("name", "built_in"), references={"origin": "source"})  # fmt: skip
    _table(db, "term", {"id": str, "vocabulary": str, "code": str, "meaning": str, **RECORD}, required=("meaning",))
    _table(db, "build", {
        "id": str, "name": str, "own_limits": str, "fits_at": float, "not_at": float, "notes": str, **RECORD,
    }, required=("name", *RECORD))  # fmt: skip
    _table(db, "build_role", {
        "build": str, "role": str, "part": str, "owned": int, "price": float, "note": str,
    }, pk=("build", "role"), references={"build": "build", "part": "part"}, required=("part", "owned"),
        index=("part",))  # fmt: skip
    _table(db, "incompatibility", {
        "id": str, "title": str, "symptom": str, "cause": str, "found": str, "found_date": str, "by": str,
        "evidence": str, "remedy": str, "harm": str, "milestone": str, "status": str, **RECORD,
    }, required=("title", "status", *RECORD), index=("status",))  # fmt: skip
    _table(db, "incompatibility_party", {
        "incompatibility": str, "number": int, "role": str, "part": str, "conditions": str,
    }, pk=("incompatibility", "number"), references={"incompatibility": "incompatibility", "part": "part"},
        required=("role",), index=("part",))  # fmt: skip
    _table(db, "incompatibility_review", {
        "incompatibility": str, "number": int, "status": str, "by": str, "date": str, "reason": str,
    }, pk=("incompatibility", "number"), references={"incompatibility": "incompatibility"})  # fmt: skip
    _table(db, "history", {
        "id": int, "at": str, "by": str, "kind": str, "record": str, "action": str, "origin": str, "before": str,
        "after": str,
    }, required=("at", "kind", "record", "action"), index=("record",))  # fmt: skip
    _table(db, "search", {
        "id": int, "kind": str, "record": str, "name": str, "maker": str, "notes": str, "symptom": str, "cause": str,
    }, required=("kind", "record"), index=("record",))  # fmt: skip
    tokens = "unicode61 remove_diacritics 2"
    db.table("search").enable_fts(
        ["name", "maker", "notes", "symptom", "cause", "record"], create_triggers=True, tokenize=tokens
    )


@STEPS()
def step_2_supply_and_readings(db: Database) -> None:
    """Where parts come from, what is considered for a role, what gauges showed, what others say of a clash."""
    db.execute("ALTER TABLE part ADD COLUMN supply TEXT")
    db.execute("UPDATE part SET supply = ''")  # as a part is written that says nothing of it
    _table(db, "build_alternative", {
        "build": str, "role": str, "part": str, "number": int, "owned": int, "price": float, "note": str,
    }, pk=("build", "role", "part"), references={"build": "build", "part": "part"}, required=("number", "owned"),
        index=("part",))  # fmt: skip
    _table(db, "donor", {
        "id": str, "name": str, "sort": str, "car": str, "years": str, "place": str, "seen": str,
        "notes": str, **RECORD,
    }, required=("name", "sort", *RECORD))  # fmt: skip
    _table(db, "donor_part", {
        "donor": str, "number": int, "part": str, "price": float, "currency": str, "note": str,
    }, pk=("donor", "number"), references={"donor": "donor", "part": "part"}, required=("part",),
        index=("part",))  # fmt: skip
    _table(db, "reading", {
        "id": str, "build": str, "circuit": str, "place": str, "quantity": str, "value_si": float, "code": str,
        "half_width_si": float, "text": str, "instrument": str, "state": str, "speed_rpm": float,
        "temperature_k": float, "start": int, "date": str, "by": str, "note": str, "photo": str, **RECORD,
    }, references={"build": "build", "instrument": "instrument"}, required=("build", "circuit", "place", *RECORD),
        index=("build",))  # fmt: skip
    _table(db, "incompatibility_report", {
        "incompatibility": str, "number": int, "by": str, "date": str, "agrees": int, "text": str,
    }, pk=("incompatibility", "number"), references={"incompatibility": "incompatibility"})  # fmt: skip


def _table(
    db: Database,
    name: str,
    columns: dict[str, Any],
    *,
    pk: Any = "id",
    references: dict[str, str] | None = None,
    required: tuple[str, ...] = (),
    index: tuple[str, ...] = (),
) -> None:
    links = [(column, other, "id") for column, other in (references or {}).items()]
    keys = (pk,) if isinstance(pk, str) else pk
    table = db.table(name)
    table.create(columns, pk=pk, foreign_keys=links, not_null={*keys, *required}, strict=True)
    for column in index:
        table.create_index([column])


def entry_table(item: type[Item]) -> str:
    """The table of a list's entries: BlockStation -> block_station."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", item.__name__).lower()


def items() -> dict[str, type[Item]]:
    """Every sort of list entry, by its table."""
    found: dict[str, type[Item]] = {}
    for kind in KINDS.values():
        for feature in kind.features.values():
            if feature.item is not None:
                found[entry_table(feature.item)] = feature.item
    return found


def _columns(features: dict[str, Feature]) -> dict[str, Any]:
    return {
        feature.column: _TYPES.get(feature.sort, str)
        for name, feature in features.items()
        if feature.sort != "list" and name != "id"
    }


def projections() -> dict[str, dict[str, Any]]:
    """Columns of each projected table, by its name."""
    tables: dict[str, dict[str, Any]] = {
        kind: {"id": str, **_columns(declared.features)} for kind, declared in KINDS.items()
    }
    for name, item in items().items():
        tables[name] = {"part": str, "feature": str, "id": str, "number": int, **_columns(item.features)}
    tables["dimension"] = {
        "id": int, "part": str, "feature": str, "path": str, "value_si": float, "half_width_si": float, "shape": str,
        "standard_uncertainty_si": float, "how": str, "instrument": str, "source": str, "date": str, "by": str,
        "text": str, "note": str, "supersedes": int,
    }  # fmt: skip
    return tables


def digest() -> str:
    """What the projections depend on, in a few letters: declarations, built-in sources and instruments."""
    import hashlib

    from kb.measure import instruments
    from kb.sources import SOURCES

    tables = {name: [f"{column} {kind.__name__}" for column, kind in columns.items()] for name, columns in
              projections().items()}  # fmt: skip
    built_in = [*map(list, SOURCES.values()), *map(list, instruments().values())]
    return hashlib.sha256(json.dumps([tables, built_in], default=list).encode()).hexdigest()[:16]


def bring_up(db: Database) -> None:
    """Make the tables what this program writes: missing steps, then projections if they differ. In one transaction."""
    version = db.execute("PRAGMA user_version").fetchone()[0]
    STEPS.apply(db)
    if version != VERSION:
        db.execute(f"PRAGMA user_version = {VERSION:d}")
        db.execute(f"PRAGMA application_id = {APPLICATION_ID:d}")
    now = digest()
    row = db.execute("SELECT value FROM meta WHERE key = 'projections'").fetchone()
    if row is None or row[0] != now:
        _make_projections(db)
        db.execute("INSERT OR REPLACE INTO meta VALUES ('projections', ?)", [now])


def _make_projections(db: Database) -> None:
    from kb.store import rows

    listed = db.execute("SELECT value FROM meta WHERE key = 'projected'").fetchone()
    for name in json.loads(listed[0]) if listed else ():
        db.table(name).drop(ignore=True)
    tables = projections()
    for name, columns in tables.items():
        if name in KINDS:
            _table(db, name, columns, references={"id": "part"})
        elif name == "dimension":
            links = {"part": "part", "source": "source", "instrument": "instrument"}
            _table(db, name, columns, references=links, required=("part", "feature", "path"), index=("part", "feature"))
        else:
            _table(db, name, columns, pk=("part", "feature", "id"), references={"part": "part"})
    db.execute("INSERT OR REPLACE INTO meta VALUES ('projected', ?)", [json.dumps([*tables])])
    rows.put_built_in(db)
    rows.project(db, [row[0] for row in db.execute("SELECT id FROM part")], clear=False)


@contextmanager
def writing(path: str) -> Iterator[Database]:
    """The database at `path` in one transaction, brought up first: committed at the end, or left as it was.

    Waits for another writer for a few seconds. StoreFault if the file may not or cannot be written.
    """
    look(path, writing=True)
    heal(path)
    con = connect(path, writing=True)
    try:
        db = Database(con, execute_plugins=False)
        con.execute("BEGIN IMMEDIATE")
        con.execute("PRAGMA defer_foreign_keys = ON")
        bring_up(db)
        yield db
        con.execute("COMMIT")
    except sqlite3.Error as error:
        raise fault_of(error, path) from None
    finally:
        try:
            if con.in_transaction:
                con.execute("ROLLBACK")
        finally:
            con.close()


def migrate(path: str) -> None:
    """Bring the database at `path` up to this program's version. StoreFault if that cannot be."""
    with writing(path):
        pass


def create(path: str) -> None:
    """A new empty database at `path`, which must not exist: complete, or not there at all."""
    import os

    folder = os.path.dirname(path) or "."
    if os.path.lexists(path):
        step = "name another file, or move this one away: nothing is ever overwritten"
        raise StoreFault("exists already", place=path, step=step)
    if not os.path.isdir(folder):
        raise StoreFault("there is no such folder", place=folder, step="make the folder first")
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o644))
    except FileExistsError:
        raise StoreFault("exists already", place=path, step="name another file") from None
    except OSError as error:
        step = "choose a folder that you may write to, on a disk with room"
        raise StoreFault(f"cannot be made: {error.strerror}", place=path, step=step) from None
    con = None
    try:
        con = connect(path, writing=True)
        db = Database(con, execute_plugins=False)
        con.execute("BEGIN IMMEDIATE")
        con.execute("PRAGMA defer_foreign_keys = ON")
        bring_up(db)
        con.execute("COMMIT")
    except BaseException as error:
        if con is not None:
            con.close()
        for name in (path, f"{path}-journal"):
            if os.path.exists(name):
                os.remove(name)
        if isinstance(error, sqlite3.Error):
            raise fault_of(error, path) from None
        raise
    con.close()
