"""What can be saved of a damaged database, saved into a new one; and what was lost, told.

A record is looked for in its own row, then in the history, which holds every state that it ever had. Rows are asked of
SQLite first; what it cannot reach is read off the pages. Only what a record file could hold gets into the new database.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterable, Mapping
from contextlib import closing, suppress
from typing import Any, NamedTuple

from sqlite_utils import Database

from kb.errors import Fault, Faults, StoreFault
from kb.records import KINDS
from kb.records.given import Given
from kb.records.models import Checked, check, record_kinds
from kb.store import carving, photos, references, rows, schema
from kb.store.backup import place
from kb.store.opening import connect, look
from kb.store.rows import TABLES, canonical
from kb.store.write import now, refer

Name = tuple[str, str]
ACTIONS = ("add", "change", "remove", "restore")


class Lost(NamedTuple):
    """Something that could not be saved, or not as it was: which record (empty kind: of no single one), and why."""

    kind: str
    id: str
    why: str


class Rescued(NamedTuple):
    """What a rescue came to. left_out: the file of what was read and is no good record, empty if there is none."""

    file: str
    records: int
    history: int
    pictures: int
    lost: tuple[Lost, ...] = ()
    left_out: str = ""

    def __str__(self) -> str:
        words = [
            f"{self.file}: {self.records} records, {self.history} changes of the history, {self.pictures} pictures"
        ]
        if not self.lost:
            words.append("nothing was lost that anything in the file still tells of")
        else:
            words.append(f"lost, or not saved as it was ({len(self.lost)}):")
            words += [f"  {' '.join(each[:2]).strip() or 'the file'}: {each.why}" for each in self.lost[:200]]
            if len(self.lost) > 200:
                words.append(f"  and {len(self.lost) - 200} more")
        if self.left_out:
            words.append(f"what could be read of them is in {self.left_out}")
        return "\n".join(words)


class _Found:
    """Rows that were read: states of records, and the history by its numbers."""

    def __init__(self) -> None:
        self.states: dict[Name, dict[int, tuple[str, str]]] = {}  # revision -> (record, updated)
        self.history: dict[int, tuple[Any, ...]] = {}
        self.broken: list[str] = []

    def take(self, row: carving.Row) -> None:
        values = row.values
        if len(values) == 9 and values[5] in ACTIONS and all(isinstance(values[each], str) for each in (1, 3, 4)):
            self.history.setdefault(row.number, values[1:])
            return
        for at, value in enumerate(values[:-3]):
            if isinstance(value, str) and value.startswith("{"):
                record = _loads(value)
                number, when = values[at + 2], values[at + 3]
                whole = isinstance(number, int) and isinstance(when, str)
                if whole and record.get("kind") in record_kinds() and record.get("id") == values[0]:
                    self.states.setdefault(_name(record["kind"], record["id"]), {}).setdefault(number, (value, when))  # type: ignore[arg-type]
                return


def _name(kind: str, id: str) -> Name:
    return ("part" if kind in KINDS else kind, id)


def _loads(text: Any) -> dict[str, Any]:
    try:
        found = json.loads(text)
    except (TypeError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def rescue(path: str | os.PathLike[str], to: str | os.PathLike[str], *, by: str = "") -> Rescued:
    """Save into a new database at `to` what can be saved of the one at `path`, which is only read.

    StoreFault for what is no damaged database: missing, empty, of another program or of a newer version; where nothing
    in it can be read; or where `to` exists.
    """
    source, target = os.fspath(path), os.fspath(to)
    if os.path.lexists(target):
        raise StoreFault("exists already", place=target, step="name another file: nothing is ever overwritten")
    why = _sort(source)
    found = _read(source, os.path.dirname(target) or ".")
    if not found.states and not found.history:
        raise StoreFault(f"{why}, and nothing in it can be read", place=source, step="restore your last copy")
    lost = [Lost("", "", "its head is damaged" if "not a database" in why else why)] if why else []
    good, worse, bad = _good(found)
    making = f"{target}.making-{os.getpid()}"
    try:
        schema.create(making)
        with schema.writing(making) as db:
            good, more, dropped = _agreeing(db, good)
            _write(db, found, good, by, os.path.basename(source))
            count = db.execute("SELECT count(*) FROM history").fetchone()[0]
        names = [name for one in good for name in photos.named(one.record)]
        pictures = photos.carry([photos.folder_of(source)], photos.folder_of(target), names)
        place(making, target)
    except StoreFault as fault:
        fault.place, fault.step = (each.replace(making, target) for each in (fault.place, fault.step))
        raise
    finally:
        for name in (making, f"{making}-journal"):
            with suppress(OSError):
                os.remove(name)
    gone = sorted(set(names) - photos.kept(target))
    lost += [*worse, *more, *(Lost("picture", name[:12], "is not there, or damaged") for name in gone)]
    left_out = _leave_out(target, [*bad, *dropped])
    return Rescued(target, len(good), count, len(pictures), tuple(lost), left_out)


def _sort(path: str) -> str:
    """What is wrong with the file, empty for nothing. StoreFault for what a rescue is not for."""
    try:
        look(path)
    except StoreFault as fault:
        if "newer" in fault.message or not os.path.isfile(path) or not os.path.getsize(path):
            raise
        if "another program" in fault.message and not _ours(path):
            raise
        if "cannot be read" in fault.message:
            raise
        return fault.message
    try:
        with closing(connect(path)) as con:
            told = [row[0] for row in con.rows("PRAGMA integrity_check(3)")]
            if told != ["ok"]:
                return "is damaged"
            return "holds rows that name others that are not there" if con.rows("PRAGMA foreign_key_check") else ""
    except StoreFault as fault:
        return fault.message


def _ours(path: str) -> bool:
    """Whether a file whose head names another program has our tables all the same."""
    with suppress(StoreFault), closing(connect(path)) as con:
        names = {row[0] for row in con.rows("SELECT name FROM sqlite_master")}
        return {"meta", "part", "history", "incompatibility_party"} <= names
    return False


def _read(path: str, folder: str) -> _Found:
    """All rows of records and history, of a copy, so that what a killed writer left half done is taken back there."""
    found = _Found()
    try:
        with tempfile.TemporaryDirectory(prefix=".rescue-", dir=folder) as work:
            copy = os.path.join(work, "copy.db")
            shutil.copyfile(path, copy)
            if os.path.isfile(f"{path}-journal"):
                shutil.copyfile(f"{path}-journal", f"{copy}-journal")
            try:
                with closing(connect(copy, writing=True)) as con:
                    for table in ("history", *TABLES):
                        found.broken += _by_sql(con, table, found)
            except StoreFault as fault:
                found.broken.append(fault.message)
            if found.broken:
                with open(path, "rb") as file:
                    data = file.read()
                for row in carving.rows(data):
                    found.take(row)
    except OSError as error:
        step = "see that it may be read, and that there is room for a copy of it beside the new one"
        raise StoreFault(f"cannot be copied: {error.strerror}", place=path, step=step) from None
    return found


def _by_sql(con: sqlite3.Connection, table: str, found: _Found) -> list[str]:
    """Rows from both ends of a table, as far as its tree can be followed."""
    told = []
    for order in ("", " DESC"):
        try:
            names = "null, at, by, kind, record, action, origin, before, after"
            if table != "history":
                names = "id, record, facts, revision, updated"
            for number, *values in con.execute(f"SELECT rowid, {names} FROM {table} ORDER BY rowid{order}"):
                found.take(carving.Row(number, tuple(values)))
        except sqlite3.Error as error:
            told.append(str(error))
        else:
            break
    return told


def _good(found: _Found) -> tuple[list[Checked], list[Lost], list[str]]:
    """(the latest good state of each record, what was lost, texts of states that are no good)."""
    last: dict[Name, tuple[Any, ...]] = {}
    for number in sorted(found.history):
        event = found.history[number]
        if event[2] in record_kinds():
            last[_name(event[2], event[3])] = event
    past: dict[Name, list[str]] = {}
    for number in sorted(found.history, reverse=True):
        _, _, kind, id, _, _, before, after = found.history[number]
        past.setdefault(_name(kind, id), []).extend(each for each in (after, before) if isinstance(each, str))
    good: list[Checked] = []
    lost: list[Lost] = []
    bad: list[str] = []
    for name in sorted({*found.states, *last}, key=lambda each: (TABLES.index(each[0]), each)):
        if name in last and last[name][4] == "remove":
            continue
        stored = found.states.get(name, {})
        newest = [stored[number][0] for number in sorted(stored, reverse=True)]
        told = last[name][7] if name in last else None
        kind = _loads(newest[0])["kind"] if newest else last[name][2]
        states = list(dict.fromkeys([*newest[:1], *([told] if isinstance(told, str) else []), *newest[1:],
                                     *past.get(name, ())]))  # fmt: skip
        for place_in, text in enumerate(states):
            one = _checked(text, name)
            if one is None:
                bad.append(text)
                continue
            good.append(one)
            if place_in and text != told:
                lost.append(Lost(one.kind, one.id, "only an earlier state could be saved"))
            break
        else:
            lost.append(Lost(kind, name[1], "no state of it could be read" if not states else "no state of it is good"))
    return good, lost, bad


def _checked(text: str, name: Name) -> Checked | None:
    with suppress(Fault, RecursionError):
        one = check(Given(_loads(text)))
        if _name(one.kind, one.id) == name:
            return one
    return None


def _agreeing(db: Database, good: list[Checked]) -> tuple[list[Checked], list[Lost], list[str]]:
    """The records without what names lost ones: a role, an alternative, what a donor carries; else without it all."""
    lost: list[Lost] = []
    dropped: list[str] = []
    while wrong := refer(db, good):
        kept = []
        parts = {one.id for one in good if one.kind in KINDS}
        for number, one in enumerate(good):
            faults = wrong.get(number)
            if not faults:
                kept.append(one)
                continue
            smaller = _without(one, parts)
            dropped.append(rows.plain(one.record))
            what = "; ".join(fault.message for fault in faults[:3])
            if smaller is None:
                lost.append(Lost(one.kind, one.id, f"it cannot stand alone: {what}"))
            else:
                kept.append(smaller)
                lost.append(Lost(one.kind, one.id, f"saved without what is lost: {what}"))
        good = kept
    return [references.completed(one) for one in good], lost, dropped


def _without(one: Checked, parts: set[str]) -> Checked | None:
    """The record without the parts that are not there; None if that leaves it as it was, or no good."""

    def there(said: Any) -> bool:
        return (said.get("part") if isinstance(said, Mapping) else said) in parts

    record = dict(one.record)
    if record.get("based_on") and record["based_on"] not in parts:
        del record["based_on"]
    if isinstance(record.get("roles"), Mapping):
        record["roles"] = {role: said for role, said in record["roles"].items() if there(said)}
    if isinstance(record.get("alternatives"), Mapping):
        record["alternatives"] = {
            role: left
            for role, some in record["alternatives"].items()
            if (left := [each for each in some if there(each)])
        }
    if isinstance(record.get("carries"), list):
        record["carries"] = [each for each in record["carries"] if there(each)]
    if canonical(record) == canonical(one.record):
        return None
    try:
        return check(Given(record))
    except Faults:
        return None


def _write(db: Database, found: _Found, good: list[Checked], by: str, name: str) -> None:
    """Records with their revisions and times, and the history; one change more where it does not end so."""
    ends: dict[Name, str] = {}
    names = ("at", "by", "kind", "record", "action", "origin", "before", "after")
    events = []
    for number in sorted(found.history):
        event = dict(zip(names, found.history[number], strict=True))
        for key in ("before", "after"):
            if event[key] is not None and not _loads(event[key]):
                event[key] = None
        events.append({"id": number, **event})
        ends[_name(event["kind"], event["record"])] = event["after"] or ""
    rows.append(db, "history", events)
    by_time: dict[str, list[Checked]] = {}
    revisions: dict[Name, int] = {}
    at = now()
    for one in good:
        name_of = _name(one.kind, one.id)
        stored = found.states.get(name_of, {})
        revision = max(stored, default=1)
        revisions[name_of] = revision - 1
        by_time.setdefault(stored[revision][1] if stored else at, []).append(one)
    for when, some in by_time.items():
        rows.store(db, some, when, revisions)
    rows.project_after(db, good)
    more = []
    for one in good:
        before = ends.get(_name(one.kind, one.id), "")
        if not before or canonical(_loads(before)) != canonical(one.record):
            more.append({
                "at": at, "by": by, "kind": one.kind, "record": one.id, "action": "change" if before else "add",
                "origin": f"rescue {name}"[:200], "before": before or None, "after": rows.plain(one.record),
            })  # fmt: skip
    rows.append(db, "history", more)


def _leave_out(target: str, texts: Iterable[str]) -> str:
    """The file beside `target` that holds what was read and is no good record; empty if there is none."""
    left = [_loads(text) or text for text in dict.fromkeys(texts)]
    if not left:
        return ""
    name = f"{target}.left-out.json"
    try:
        with open(name, "w", encoding="utf-8") as file:
            json.dump(left, file, ensure_ascii=False, indent=2)
    except OSError as error:
        raise StoreFault(
            f"cannot be written: {error.strerror}", place=name, step="make room, then do this again"
        ) from None
    return name
