"""Another person's records into one's own base: told apart, joined where that loses nothing, left where they differ.

merged = merge("mine.db", ["their-dump/"], by="Sam")
merged.left      -> what differs and was left as it was, each with the step that settles it
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Mapping
from typing import Any, cast

from sqlite_utils import Database

from kb.errors import Fault, Faults, unknown
from kb.records import KINDS
from kb.records.given import Given
from kb.records.models import Checked, check
from kb.say.merge import Difference, Merged
from kb.store import photos, references
from kb.store.merging import Outcome, Record, finding_report, merged, same_clash, same_trouble, shown
from kb.store.opening import Connection, look
from kb.store.read import open_readonly
from kb.store.read import part as read_part
from kb.store.rows import TABLES, canonical
from kb.store.schema import writing
from kb.store.write import Progress, apply, refer

Name = tuple[str, str]


class _Tried(Exception):
    """Ends a transaction that was only meant to be looked at."""


def merge(
    path: str | os.PathLike[str],
    paths: Iterable[str | os.PathLike[str]],
    *,
    by: str,
    take: Mapping[str, str] | None = None,
    try_only: bool = False,
    progress: Progress | None = None,
) -> Merged:
    """Join record files, folders of them, or another person's databases to the base at `path`.

    take: record (`pan/deep-pan`, or its id) -> "theirs" or "ours", whose word holds where the two differ. Nothing else
    of ours is ever overwritten. Raises Faults for records that are at fault, UnknownName for a record in `take` that
    does not differ, StoreFault if it cannot be written; nothing is changed then. try_only: write nothing, say what
    would be.
    """
    name, given_paths = os.fspath(path), [os.fspath(each) for each in paths]
    look(name, writing=not try_only)
    given, states, folders = _theirs(given_paths)
    if not given:
        step = "name record files, a folder of them (matchmark dump), or their database itself"
        raise Fault("no record is there to merge", place=", ".join(given_paths)[:200], step=step)
    good = _checked(given)
    wanted = _wanted(take or {}, good)
    names = {("part" if one.kind in KINDS else one.kind, one.id) for one in good}
    work = _Merge(wanted, states, names)
    try:
        with writing(name) as db:
            work.base(db)
            for number, one in enumerate(good, 1):
                work.one(one.record)
                if progress is not None and (number % 100 == 0 or number == len(good)):
                    progress("comparing", number, len(good))
            changed = [check(Given(each)) for each in work.written.values()]
            references.raise_all([fault for faults in refer(db, changed).values() for fault in faults])
            origin = f"merge {', '.join(os.path.basename(each.rstrip('/')) for each in given_paths)}"[:200]
            apply(db, [references.completed(one) for one in changed], by=by, origin=origin, progress=progress)
            found = work.found(cast(Connection, db.conn))
            if try_only:
                raise _Tried
    except _Tried:
        return found._replace(tried=True)
    shown_in = [each for one in changed for each in photos.named(one.record)]
    return found._replace(pictures=len(photos.carry(folders, photos.folder_of(name), shown_in)))


def _theirs(paths: list[str]) -> tuple[list[Given], dict[Name, set[str]], list[str]]:
    """(records, earlier states of each by (table, id), folders that may keep pictures) of what is named."""
    from kb.reading_files import read

    given: list[Given] = []
    states: dict[Name, set[str]] = {}
    files: list[str] = []
    folders: list[str] = []
    for path in paths:
        if not os.path.isfile(path) or not _is_base(path):
            files.append(path)
            folders.append(os.path.join(path, photos.DUMPED))
            continue
        folders.append(photos.folder_of(path))
        con = open_readonly(path)
        try:
            for table in TABLES:
                for (text,) in con.rows(f"SELECT record FROM {table} WHERE record IS NOT NULL ORDER BY id"):
                    given.append(Given(json.loads(text), os.path.basename(path)))
            _earlier(con, states)
        finally:
            con.close()
    if files:
        found = read(files)
        if found.faults:
            raise Faults(found.faults)
        given.extend(found.records)
    return given, states, folders


def _is_base(path: str) -> bool:
    try:
        with open(path, "rb") as file:
            return file.read(16) == b"SQLite format 3\0"
    except OSError:  # the reader of record files says why
        return False


def _earlier(con: Connection, states: dict[Name, set[str]]) -> None:
    """Every state that the history says a record has had, its present one left in."""
    for kind, id, before, after in con.rows("SELECT kind, record, before, after FROM history"):
        table = "part" if kind in KINDS else kind
        held = states.setdefault((table, id), set())
        held.update(canonical(json.loads(text)) for text in (before, after) if text)


def _checked(given: list[Given]) -> list[Checked]:
    faults: list[Fault] = []
    good: list[Checked] = []
    for one in given:
        try:
            good.append(check(one))
        except Faults as found:
            faults.extend(found.faults)
    faults.extend(fault for _, fault in references.duplicates(good))
    references.raise_all(faults)
    order = {table: number for number, table in enumerate(TABLES)}
    return sorted(good, key=lambda one: order["part" if one.kind in KINDS else one.kind])


def _wanted(take: Mapping[str, str], good: list[Checked]) -> dict[str, str]:
    names = {f"{one.kind}/{one.id}": one for one in good}
    found: dict[str, str] = {}
    for name, whose in take.items():
        if whose not in ("ours", "theirs"):
            raise unknown("side to take", whose, ("ours", "theirs"), place="--take", list_with="ours, theirs")
        fits = [each for each in names if name in (each, each.partition("/")[2])]
        if not fits:
            raise unknown("record of theirs", name, names, place="--take", list_with="matchmark merge without --take")
        if len(fits) > 1:
            raise Fault(f"{name} is several records", place="--take", step=f"write one of: {', '.join(fits)}")
        found[fits[0]] = whose
    return found


class _Merge:
    """The work of one merge, record by record."""

    def __init__(self, take: Mapping[str, str], their_states: Mapping[Name, set[str]], theirs: set[Name]) -> None:
        self.take = take
        self.theirs = theirs
        self.their_states = their_states
        self.written: dict[Name, Record] = {}
        self.ours: dict[Name, Record] = {}
        self.states: dict[Name, set[str]] = {}
        lists = [name for name in Merged._fields if name not in ("pictures", "tried")]
        self.lists: dict[str, list[Any]] = {name: [] for name in lists}

    def base(self, db: Database) -> None:
        """Everything that is ours."""
        for table in TABLES:
            for id, text in db.execute(f"SELECT id, record FROM {table} WHERE record IS NOT NULL").fetchall():
                self.ours[table, id] = json.loads(text)
        _earlier(cast(Connection, db.conn), self.states)

    def one(self, theirs: Record) -> None:
        kind, id = theirs["kind"], theirs["id"]
        table = "part" if kind in KINDS else kind
        ours = self.ours.get((table, id))
        name = f"{kind}/{id}"
        if ours is None:
            self.new(theirs, table)
        elif canonical(ours) == canonical(theirs):
            self.lists["same"].append((kind, id))
        elif ours["kind"] != kind:
            step = f"give their {kind} another id in their file, then merge again"
            self.lists["left"].append(Difference(kind, id, "kind", ours["kind"], kind, step))
        else:
            older = canonical(theirs) in self.states.get((table, id), ())
            newer = canonical(ours) in self.their_states.get((table, id), ())
            if older and not newer:
                self.lists["ours_newer"].append((kind, id))
            elif newer and not older:
                self.lists["theirs_newer"].append((kind, id))
                self.write(table, theirs)
            elif kind == "reading" and _moment(ours) != _moment(theirs) and name not in self.take:
                self.new(theirs, table)  # ids of readings are counted, so that two people soon have the same
            else:  # also where each went back to what the other left
                self.told(table, ours, merged(ours, theirs, self.take.get(name, "")))

    def told(self, table: str, ours: Record, outcome: Outcome) -> None:
        kind, id = ours["kind"], ours["id"]
        self.lists["joined"].extend(outcome.joined)
        self.lists["filled"].extend((kind, id, field) for field in dict.fromkeys(outcome.filled))
        self.lists["reports"].extend((id, by) for by in outcome.reports)
        self.lists["left"].extend(outcome.left)
        if canonical(outcome.record) != canonical(ours):
            self.write(table, outcome.record)
        elif not outcome.left:
            self.lists["same"].append((kind, id))

    def new(self, theirs: Record, table: str) -> None:
        """A record of an id that we have not: the same thing may be here under another one."""
        kind, id = theirs["kind"], theirs["id"]
        if kind == "incompatibility":
            twin = next((each for each in self.all("incompatibility") if same_trouble(each, theirs)), None)
            if twin is not None:
                self.lists["twins"].append((kind, id, twin["id"]))
                voices = [finding_report(theirs), *theirs.get("reports", ()), *map(_as_report, _reviews(theirs))]
                as_ours = {**twin, "by": "", "reports": voices, "evidence": theirs.get("evidence", [])}
                as_ours.update({name: theirs[name] for name in ("cause", "remedy") if theirs.get(name, "") != ""})
                as_ours.update({name: twin[name] for name in ("cause", "remedy") if twin.get(name, "") != ""})
                as_ours.pop("reviews", None)
                self.told(table, twin, merged(twin, as_ours))
                return
            alike = next((each for each in self.all("incompatibility") if same_clash(each, theirs)), None)
            if alike is not None:
                self.lists["alike"].append((kind, id, alike["id"]))
        if kind == "reading":
            same = next((each for each in self.all("reading") if _gauged(each) == _gauged(theirs)), None)
            if same is not None:
                both = merged(same, {**theirs, "id": same["id"]})
                self.told(table, same, both)
                return
            if (table, id) in self.ours:
                theirs = {**theirs, "id": self.free(table, f"{id}-{theirs.get('by', '')}")}
                self.lists["renamed"].append((kind, id, theirs["id"]))
                id = theirs["id"]
        if kind in KINDS and theirs.get("part_number"):
            for each in self.all("part"):
                if each["kind"] == kind and all(each.get(n) == theirs.get(n) for n in ("part_number", "maker")):
                    self.lists["alike"].append((kind, id, each["id"]))
                    break
        self.lists["added"].append((kind, id))
        self.write(table, theirs)

    def free(self, table: str, wish: str) -> str:
        """An id that neither of the two has."""
        base = re.sub(r"[^a-z0-9]+", "-", wish.lower()).strip("-")[:74].rstrip("-")
        id, number = base, 1
        while (table, id) in self.ours or (table, id) in self.theirs:
            number += 1
            id = f"{base}-{number}"
        return id

    def all(self, table: str) -> list[Record]:
        return [each for (where, _), each in self.ours.items() if where == table]

    def write(self, table: str, record: Record) -> None:
        self.written[table, record["id"]] = self.ours[table, record["id"]] = record

    def found(self, con: Connection) -> Merged:
        """What it came to, with what the parts now say of readings that disagree."""
        joined = []
        for each in self.lists["joined"]:
            value: Any = read_part(con, each.id).facts
            for step in each.path.split("."):
                value = (
                    value.get(step)
                    if isinstance(value, dict)
                    else next((entry for entry in value if entry["id"] == step), None)
                )
            joined.append(each._replace(contradiction=getattr(value, "contradiction", "")))
        self.lists["joined"] = joined
        kept: dict[str, Any] = {name: tuple(found) for name, found in self.lists.items()}
        return Merged(**kept)


def _reviews(record: Record) -> list[Record]:
    return [each for each in record.get("reviews", ()) if each["status"] != "reported"]


def _as_report(review: Mapping[str, Any]) -> Record:
    agrees = review["status"] == "confirmed"
    return {"by": review["by"], "date": review["date"], "agrees": agrees, "text": review["reason"]}


def _gauged(record: Record) -> tuple[str, ...]:
    names = ("build", "place", "value", "tolerance", "with", "state", "speed", "temperature", "start", "date", "by")
    return tuple(shown(record.get(name)) for name in names)


def _moment(record: Record) -> tuple[str, ...]:
    """Who read what and when: two records that differ in this are of two readings."""
    return tuple(shown(record.get(name)) for name in ("build", "place", "state", "start", "date", "by"))


__all__ = ["Merged", "merge"]
