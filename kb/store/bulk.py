"""Loading very many records in one pass: checked, written and referred as they are read, in one transaction.

What is in memory is one stretch of records, never the file. Whatever is wrong ends the pass (`Odd`): nothing is told
here, `kb.store.load` then reads again in the way that tells every fault with its place.
"""

from __future__ import annotations

import gc
import os
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from itertools import islice
from typing import Any, NamedTuple, cast

from sqlite_utils import Database

from kb.errors import Fault, Faults
from kb.measure import Instrument
from kb.reading_files.streaming import Odd, records
from kb.records import KINDS, Feature
from kb.records.part import dimension
from kb.records.quick import Quick
from kb.store import photos, read, references, rows, schema
from kb.store.opening import Connection
from kb.store.write import Progress, known, now, put_down, short

STRETCH = 500
_REMEMBERED = 16_384
_PARTS = "SELECT id, kind, coalesce(based_on, '') FROM part"


class Passed(NamedTuple):
    """What a pass did: how many records by action, pictures that they name, files passed over."""

    counts: dict[str, int]
    pictures: list[str]
    skipped: list[str]


@contextmanager
def _seldom_collecting() -> Iterator[None]:
    """Records hold no circles: looking for some after every few hundred objects would take an eighth of the time."""
    before = gc.get_threshold()
    gc.set_threshold(200_000, *before[1:])
    try:
        yield
    finally:
        gc.set_threshold(*before)


@_seldom_collecting()
def load(db: Database, paths: Sequence[str | os.PathLike[str]], *, by: str, progress: Progress | None = None) -> Passed:
    """Write the records of these files into a database that is being written. Raises Odd: then it is to be left."""
    passed = Passed({"add": 0, "change": 0, "same": 0}, [], [])
    names = _Names(db)
    writer = _Writer(db, by, names, passed.pictures)
    doubted = False
    done = 0
    check = Quick()
    found = records(paths, passed.skipped)
    db.execute("CREATE TEMP TABLE IF NOT EXISTS passing (name TEXT PRIMARY KEY) WITHOUT ROWID")
    db.execute("DELETE FROM passing")
    while stretch := list(islice(found, STRETCH)):
        try:
            good = [check(one) for one in stretch]
        except Faults as faults:
            raise Odd(faults.faults[0].place, str(faults.faults[0])) from None
        _no_twins(db, good)
        names.note(good)
        doubted = doubted or any(references.faults_in(one, names.known) for one in good)
        try:
            whole = [references.completed(one) for one in good]
        except (Fault, KeyError):  # a role or a feature that there is not: no record to come will make it
            raise Odd(good[0].given.origin(), "names what there is not") from None
        writer.write(whole, passed.counts)
        done += len(good)
        if progress is not None:
            progress("writing", done, done)
    if doubted:  # what a record names may have come after it
        _refer(paths, names, check)
    writer.end()
    db.execute("DROP TABLE passing")
    return passed


def _no_twins(db: Database, good: Sequence[Any]) -> None:
    keys = [(one.id if one.kind in KINDS else f"{one.kind} {one.id}",) for one in good]
    try:
        db.conn.executemany("INSERT INTO passing VALUES (?)", keys)
    except sqlite3.IntegrityError:
        raise Odd(good[0].given.origin(), "has an id that is given twice") from None


def _refer(paths: Sequence[str | os.PathLike[str]], names: _Names, check: Quick) -> None:
    found = records(paths, [])
    while stretch := [check(one) for one in islice(found, STRETCH)]:
        names.note(stretch)
        for one in stretch:
            for fault in references.faults_in(one, names.known):
                raise Odd(fault.place, str(fault))


class _Names:
    """What records may name, as it stands in the database; parts are looked up as they are named."""

    def __init__(self, db: Database) -> None:
        self.db = db
        self.known = known(db, parts_too=False)

    def note(self, records: Sequence[Any]) -> None:
        """These records can be named from now on. Odd where one is stored already as of another kind."""
        parts = [one for one in records if one.kind in KINDS]
        self.known.stored = stored = _Looked(self.db)
        stored.fetch({one.id for one in parts})
        for one in parts:
            if one.id in stored and stored[one.id][0] != one.kind:
                raise Odd(one.given.origin(), f"the id {one.id} belongs to a part of another kind")
        self.known.parts = _Looked(self.db, stored)
        self.known.add(records)


class _Looked(dict[str, tuple[str, str]]):
    """Part id -> (kind, id of what it is based on), looked up when asked for."""

    def __init__(self, db: Database, have: Mapping[str, tuple[str, str]] | None = None) -> None:
        super().__init__(have or {})
        self.db = db
        self.asked: set[str] = set(getattr(have, "asked", ()))

    def fetch(self, ids: Iterable[str]) -> None:
        """Look these up at once."""
        wanted = [*ids]
        sql = f"{_PARTS} WHERE id IN (SELECT value FROM json_each(?))"
        self.update({id: (kind, based_on) for id, kind, based_on in self.db.execute(sql, [rows.plain(wanted)])})
        self.asked.update(wanted)

    def get(self, id: str, other: Any = None) -> Any:
        if id not in self.asked and not super().__contains__(id):
            self.fetch([id])
        return super().get(id, other)

    def __contains__(self, id: object) -> bool:
        return self.get(cast(str, id)) is not None


class _Writer:
    """Rows of records: those of new parts that stand alone at once, of the others as single records are written."""

    def __init__(self, db: Database, by: str, names: _Names, pictures: list[str]) -> None:
        self.db, self.by, self.at, self.names, self.pictures = db, by, now(), names, pictures
        self.tools = read.instruments(cast(Connection, db.conn))
        self.later: list[str] = []
        self.tool_came = False
        self.layouts = {kind: _Layout(kind, self.tools) for kind in KINDS}
        self.columns = {table: [*names] for table, names in schema.projections().items()}
        self.columns["dimension"].remove("id")

    def write(self, good: Sequence[Any], counts: dict[str, int]) -> None:
        """Write these, and count what was done with each."""
        new: list[Any] = []
        others: list[Any] = []
        for one in good:
            lone = one.kind in KINDS and not one.facts.get("based_on") and one.id not in self.names.known.stored
            (new if lone else others).append(one)
        counts["add"] += len(new)
        self._new(new)
        if others:
            self.pictures.extend(each for one in others for each in photos.named(one.record))
            for change in put_down(self.db, others, by=self.by, at=self.at):
                counts[change.action] += 1
                if change.action != "same":
                    self.later.extend([change.id] if change.kind in KINDS else [])
                    self.tool_came |= change.kind == "instrument"

    def end(self) -> None:
        """Lay out the parts that could not be at once: their ancestors or instruments may have come later."""
        if self.tool_came:
            rows.project(self.db, [row[0] for row in self.db.execute("SELECT id FROM part")])
        elif self.later:
            rows.project(self.db, self.later)

    def _new(self, good: Sequence[Any]) -> None:
        by_table: dict[str, list[tuple[Any, ...]]] = {}
        part: list[dict[str, Any]] = []
        found: list[dict[str, Any]] = []
        history: list[dict[str, Any]] = []
        for one in good:
            row = rows.part_row(one)
            record = rows.plain(one.record)
            if '"photo":' in record:
                self.pictures.extend(photos.named(one.record))
            part.append({**row, "record": record, "facts": rows.plain(one.facts), "revision": 1, "updated": self.at})
            found.append(rows.found_by(one, row) or {})
            self.layouts[one.kind].add(one, by_table)
            history.append({
                "at": self.at, "by": self.by, "kind": one.kind, "record": one.id, "action": "add",
                "origin": short(one.given.origin()), "before": None, "after": record,
            })  # fmt: skip
        for table, several in (("part", part), ("search", found), ("history", history)):
            rows.append(self.db, table, several)
        for table, lines in by_table.items():
            names = self.columns[table]
            marks = ", ".join("?" for _ in names)
            listed = ", ".join(f'"{name}"' for name in names)
            self.db.conn.executemany(f'INSERT INTO "{table}" ({listed}) VALUES ({marks})', lines)


class _Cell(NamedTuple):
    """A column of a kind's table, and the feature that fills it. scale: SI value of one unit of the column."""

    name: str
    sort: str
    scale: float
    feature: Feature


class _Layout:
    """How the facts of a part that is based on nothing stand in the tables of its kind."""

    def __init__(self, kind: str, tools: Mapping[str, Instrument]) -> None:
        features = KINDS[kind].features
        self.kind, self.tools = kind, tools
        self.cells = _cells(features)
        self.measured = [(name, each) for name, each in features.items() if each.sort == "dimension"]
        self.lists = [
            (name, schema.entry_table(each.item), _cells(each.item.features))
            for name, each in features.items()
            if each.item is not None
        ]
        self.seen: dict[int, tuple[Any, tuple[Any, ...]]] = {}

    def add(self, one: Any, by_table: dict[str, list[tuple[Any, ...]]]) -> None:
        """The rows of one part, by table, in the order of `columns`."""
        id, facts = one.id, one.facts
        by_table.setdefault(self.kind, []).append((id, *self._laid(self.cells, facts)))
        lines = by_table.setdefault("dimension", [])
        for name, feature in self.measured:
            if name in facts:
                lines.extend((id, name, name, *self._reading(feature, said)) for said in facts[name])
        for name, table, cells in self.lists:
            entries = by_table.setdefault(table, []) if name in facts else []
            for number, entry in enumerate(facts.get(name, ()), 1):
                entries.append((id, name, entry["id"], number, *self._laid(cells, entry)))
                for cell in cells:
                    if cell.sort == "dimension":
                        path = f"{name}.{entry['id']}.{cell.feature.name}"
                        several = entry.get(cell.feature.name, ())
                        lines.extend((id, name, path, *self._reading(cell.feature, said)) for said in several)

    def _reading(self, feature: Feature, said: Mapping[str, Any]) -> tuple[Any, ...]:
        """As `rows.reading`; one whose normal form was seen (`records.quick` shares them) is not worked out again."""
        seen = self.seen.get(id(said))
        if seen is None:
            if len(self.seen) >= _REMEMBERED:
                self.seen.clear()
            seen = (said, tuple(rows.reading(feature, said, feature.name, self.tools).values()))
            self.seen[id(said)] = seen
        return seen[1]

    def _laid(self, cells: Sequence[_Cell], facts: Mapping[str, Any]) -> list[Any]:
        found: list[Any] = []
        for name, sort, scale, feature in cells:
            value = facts.get(name)
            if value is None:
                found.append(None)
            elif sort == "dimension":
                si = value[0]["si"] if len(value) == 1 else dimension(feature, value, name, self.tools).value
                found.append(si / scale)
            elif sort == "position":
                found.append(value["si"] / scale)
            else:
                found.append(rows.cell(feature, value))
        return found


def _cells(features: Mapping[str, Feature]) -> list[_Cell]:
    return [
        _Cell(name, each.sort, each.shown_scale, each)
        for name, each in features.items()
        if each.sort != "list" and name != "id"
    ]
