"""Writing checked records: what changes is decided, recorded in the history and laid out, in one transaction."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, NamedTuple

from sqlite_utils import Database

from kb.errors import Fault, Faults, RecordFault, StoreFault, unknown
from kb.records import KINDS
from kb.records.given import Given
from kb.records.models import Checked, check, record_kinds
from kb.store import references, rows
from kb.store.read import none_such
from kb.store.rows import TABLES
from kb.store.schema import writing

Progress = Callable[[str, int, int], None]


class Change(NamedTuple):
    """What happened to one record. action: add, change or same."""

    kind: str
    id: str
    action: str
    origin: str


def now() -> str:
    """The time in UTC, to the second, as ISO 8601."""
    from datetime import UTC, datetime

    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def known(db: Database, but: tuple[str, str] | None = None, *, parts_too: bool = True) -> references.Known:
    """What records may name in this database; `but` leaves out one stored record (kind, id)."""
    skip = but or ("", "")
    listed = db.execute("SELECT id, kind, based_on FROM part") if parts_too else ()
    parts = {id: (kind, based_on or "") for id, kind, based_on in listed}
    if skip[0] in KINDS:
        parts.pop(skip[1], None)
    own: dict[str, list[tuple[Any, ...]]] = {}
    for table, columns in (("source", "id"), ("instrument", "id, measures"), ("term", "id")):
        flag = "WHERE NOT built_in" if table != "term" else ""
        found = db.execute(f"SELECT {columns} FROM {table} {flag}").fetchall()
        own[table] = [row for row in found if (table, row[0]) != skip]
    tools = {id: measures.split(", ") for id, measures in own["instrument"]}
    builds = [row[0] for row in db.execute("SELECT id FROM build") if ("build", row[0]) != skip]
    return references.Known(parts, [row[0] for row in own["source"]], tools, [row[0] for row in own["term"]], builds)


def apply(
    db: Database, records: Sequence[Checked], *, by: str, origin: str = "", progress: Progress | None = None
) -> list[Change]:
    """Write records that are good and agree with each other; history rows only for what differs from what is stored."""
    at, changes, real = now(), [], []
    step = 500
    for start in range(0, len(records), step):
        some = records[start : start + step]
        done = put_down(db, some, by=by, at=at, origin=origin)
        changes += done
        real += [one for one, change in zip(some, done, strict=True) if change.action != "same"]
        if progress is not None:
            progress("writing", min(start + step, len(records)), len(records))
    rows.project_after(db, real)
    return changes


def put_down(db: Database, records: Sequence[Checked], *, by: str, at: str, origin: str = "") -> list[Change]:
    """Write these records with their history, all but their projections. `at`: when, as `now` says it."""
    before: dict[tuple[str, str], tuple[str, int]] = {}
    wanted = rows.plain([one.id for one in records])
    for table in {"part" if one.kind in KINDS else one.kind for one in records}:
        where = "record IS NOT NULL AND id IN (SELECT value FROM json_each(?))"
        for id, text, revision in db.execute(f"SELECT id, record, revision FROM {table} WHERE {where}", [wanted]):
            before[table, id] = (text, revision)
    changes, real, history = [], [], []
    for one in records:
        table = "part" if one.kind in KINDS else one.kind
        old = before.get((table, one.id))
        same = old is not None and rows.canonical(json.loads(old[0])) == rows.canonical(one.record)
        place = origin or short(one.given.origin())
        action = "same" if same else "add" if old is None else "change"
        changes.append(Change(one.kind, one.id, action, place))
        if not same:
            real.append(one)
            history.append(_event(at, by, one.kind, one.id, action, place, old[0] if old else None, one.record))
    rows.store(db, real, at, {key: revision for key, (_, revision) in before.items()})
    rows.append(db, "history", history)
    return changes


def short(origin: str) -> str:
    """File and line without the way to them: the history is shown and shared, this machine's folders are not."""
    return "/".join(origin.replace("\\", "/").split("/")[-2:])


def _event(
    at: str, by: str, kind: str, id: str, action: str, origin: str, before: str | None, after: Mapping[str, Any] | None
) -> dict[str, Any]:
    return {
        "at": at, "by": by, "kind": kind, "record": id, "action": action, "origin": origin, "before": before,
        "after": None if after is None else rows.plain(after),
    }  # fmt: skip


def refer(db: Database, records: Sequence[Checked], there: Iterable[Mapping[str, Any]] = ()) -> dict[int, list[Fault]]:
    """Faults of what records name, by the position of the record. All may name each other, and those in `there`."""
    all_known = known(db).pretend(there).add(records)
    found: dict[int, list[Fault]] = {}
    for number, one in enumerate(records):
        faults = references.faults_in(one, all_known)
        if faults:
            found[number] = faults
    return found


def write_record(path: str, record: Mapping[str, Any], *, by: str, origin: str, new: bool = False) -> Change:
    """Check one record and write it. `new` refuses an id that is taken.

    Raises Faults (of the record), or StoreFault. `by` says who, `origin` from where: form, command, file:line.
    """
    one = check(Given(dict(record)))
    with writing(path) as db:
        table = "part" if one.kind in KINDS else one.kind
        taken = db.execute(f"SELECT 1 FROM {table} WHERE id = ? AND record IS NOT NULL", [one.id]).fetchone()
        if new and taken:
            step = "choose another id, or change that record"
            raise Faults([RecordFault(f"the id {one.id} is taken", place="id", step=step)])
        faults = refer(db, [one]).get(0, [])
        references.raise_all(faults)
        return apply(db, [references.completed(one)], by=by, origin=origin)[0]


def stored(db: Database, kind: str, id: str) -> dict[str, Any]:
    """The record as given. UnknownName if there is none."""
    if kind not in record_kinds():
        raise unknown("kind", kind, record_kinds())
    table = "part" if kind in KINDS else kind
    row = db.execute(f"SELECT record FROM {table} WHERE id = ? AND record IS NOT NULL", [id]).fetchone()
    record: dict[str, Any] = json.loads(row[0]) if row else {}
    if not row or record["kind"] != kind:
        ids = [each[0] for each in db.execute(f"SELECT id FROM {table}")]
        raise none_such(kind, id, ids)
    return record


def set_status(
    path: str, id: str, status: str, *, by: str, reason: str, date: str = "", origin: str = "command"
) -> Change:
    """Confirm, refute or reopen a recorded clash: adds a review with its reason.

    Raises UnknownName, Faults (a status or date that is none, no reason), or StoreFault.
    """
    with writing(path) as db:
        record = stored(db, "incompatibility", id)
        review = {"status": status, "by": by, "date": date or now()[:10], "reason": reason}
        record = {**record, "status": status, "reviews": [*record.get("reviews", []), review]}
        one = check(Given(record))
        references.raise_all(refer(db, [one]).get(0, []))
        return apply(db, [references.completed(one)], by=by, origin=origin)[0]


def remove(path: str, kind: str, id: str, *, by: str, origin: str = "command") -> None:
    """Take a record out; its last state stays in the history. UnknownName, or StoreFault if others still name it."""
    with writing(path) as db:
        record = stored(db, kind, id)
        left = known(db, (kind, id))
        users = [
            f"{one.kind} {one.id}"
            for one in _all(db)
            if (one.kind, one.id) != (kind, id) and references.faults_in(one, left)
        ]
        if users:
            shown = ", ".join(users[:5]) + (", ..." if len(users) > 5 else "")
            raise StoreFault(f"{kind} {id} is named by {shown}", place=path, step="change or remove those first")
        rows.drop(db, kind, id)
        event = _event(now(), by, kind, id, "remove", origin, rows.plain(record), None)
        rows.append(db, "history", [event])


def _all(db: Database) -> Iterable[Checked]:
    for table in TABLES:
        for record, facts in db.execute(f"SELECT record, facts FROM {table} WHERE record IS NOT NULL").fetchall():
            given, normal = json.loads(record), json.loads(facts)
            yield Checked(given["kind"], given["id"], normal, Given(given))
