"""Changes that a person makes step by step: fill a role, tick an item, take a reading, note what a gauge showed.

Each is one transaction with its history, or nothing: every record that it touches is checked as a loaded one is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from typing import Any, NamedTuple, cast

from sqlite_utils import Database

from kb.errors import Fault, RecordFault, UnknownName, unknown
from kb.ready.needs import read_only
from kb.records import KINDS, Feature
from kb.records.given import Given
from kb.records.models import check
from kb.roles import role as role_named
from kb.roles import role_feature
from kb.store import references
from kb.store.opening import Connection
from kb.store.read import part as read_part
from kb.store.schema import writing
from kb.store.sharing import free_id, is_model, is_shared
from kb.store.write import Change, apply, now, refer, stored

LISTS = ("first_start", "small_parts")


class Done(NamedTuple):
    """What a change came to. part: id of the part that was written; made: whether it was made for this build now."""

    part: str
    made: bool
    changes: tuple[Change, ...]


def fill(
    path: str,
    build: str,
    roles: Mapping[str, str | None],
    *,
    owned: bool | Collection[str] | None = None,
    by: str,
    origin: str = "command",
) -> Change:
    """Put parts into roles of a build; None empties a role.

    owned: whether the parts are at hand, or which roles' are; None keeps what the build says of that part as an
    alternative. A part that gives way and is owned stays on as an alternative. UnknownName for a build, role or part
    that there is not; Faults for a part of another kind than the role takes.
    """
    if not roles:
        raise Fault("no role is named", step="name one or more, for example pan=deep-pan")
    for name in roles:
        role_named(name, place=name[:60])
    with writing(path) as db:
        record = stored(db, "build", build)
        filled = dict(record.get("roles", {}))
        others = {name: [*some] for name, some in record.get("alternatives", {}).items()}
        for name, part in roles.items():
            before = _entry(filled.get(name))
            if part is None:
                if name not in filled:
                    step = f"it is filled: {', '.join(filled)}" if filled else "nothing is filled yet"
                    raise Fault(f"no part fills the role {name}", place=build, step=step)
                del filled[name]
            else:
                known = next((each for each in map(_entry, others.get(name, ())) if each["part"] == part), None)
                entry = before if before.get("part") == part else known or {"part": part}
                if owned is not None:
                    entry["owned"] = owned if isinstance(owned, bool) else name in owned
                filled[name] = entry if set(entry) > {"part"} else part
                if name in others:
                    others[name] = [each for each in others[name] if _entry(each)["part"] != part]
            if before.get("owned") and before["part"] != part:
                others.setdefault(name, []).append(before)
        record["roles"] = filled
        left = {name: some for name, some in others.items() if some}
        if left or "alternatives" in record:
            record["alternatives"] = left
        return _write(db, [record], by, origin)[0]


def tick(
    path: str,
    build: str,
    item: str,
    done: bool = True,
    *,
    by: str,
    date: str = "",
    note: str = "",
    origin: str = "command",
) -> Done:
    """Tick an item of the build's lists (`first_start`, `small_parts`), or with `done` False say that it is not done.

    Writes the part in that role; makes `<build>-first-start` (`-small-parts`) and fills the role when it is empty, or
    when other builds use the same part. UnknownName for a build or an item that there is not.
    """
    item = item.partition(".")[2] if item.partition(".")[0] in LISTS else item
    kind = next((each for each in LISTS if item in references.tickable(each)), "")
    if not kind:
        items = [name for each in LISTS for name in references.tickable(each)]
        fault = unknown("item to tick", item, items)
        fault.step = fault.step or f"there are: {', '.join(items)}"
        raise fault
    with writing(path) as db:
        con = cast(Connection, db.conn)
        owner = stored(db, "build", build)
        entry = _entry(owner.get("roles", {}).get(kind))
        records: list[dict[str, Any]] = []
        made = True
        if not entry:
            name = f"{owner['name']}: {kind.replace('_', ' ')}"
            part: dict[str, Any] = {"kind": kind, "id": free_id(con, f"{build}-{kind}"), "name": name[:200]}
        else:
            part = stored(db, kind, entry["part"])
            made = is_shared(con, build, part["id"])
            if made:
                part = {**part, "id": free_id(con, f"{build}-{kind}"), "name": f"{part['name']} ({build})"[:200]}
        _set_item(db, part, entry, item, done)
        said = {"id": item, "date": date or now()[:10], "by": by, **({"note": note} if note else {})}
        part["ticked"] = [each for each in part.get("ticked", ()) if each["id"] != item] + [said]
        records.append(part)
        if made:
            owner["roles"] = {**owner.get("roles", {}), kind: {"part": part["id"], "owned": True}}
            records.append(owner)
        return Done(part["id"], made, tuple(_write(db, records, by, origin)))


def take_reading(
    path: str,
    build: str,
    where: str,
    text: str,
    *,
    tool: str = "",
    by: str,
    date: str = "",
    note: str = "",
    supersedes: bool = False,
    origin: str = "command",
) -> Done:
    """Record what was measured on a part of a build: `where` is `pan.sump_depth`, or `block.stations.R4.height`.

    A dimension gets one reading more (`supersedes` sets the earlier ones aside); any other feature gets this value.
    Where the part in the role is a model, that is: other builds use it, others are based on it, or it is neither owned
    nor based on anything, `<build>-<role>` is made, based on it, and takes its place. An empty role that holds only
    readings gets its record with the first of them. UnknownName for a build, role, feature, entry or tool that there is
    not; Faults for a value that makes no sense.
    """
    name, _, rest = where.partition(".")
    head, _, inner = rest.partition(".")
    feature = role_feature(f"{name}.{head}", place=where[:120]).feature
    with writing(path) as db:
        con = cast(Connection, db.conn)
        owner = stored(db, "build", build)
        entry = _entry(owner.get("roles", {}).get(name))
        if not entry and name not in read_only():
            step = "fill it first, then measure" if owner.get("roles") else "the build has no parts yet: fill its roles"
            raise Fault(f"no part fills the role {name} of {build}", place=where[:120], step=step)
        kind = role_named(name).kind.kind
        if entry:
            part = stored(db, kind, entry["part"])
            based_on = str(part.get("based_on", ""))
            made = is_model(con, build, part["id"], owned=bool(entry.get("owned")), based_on=based_on)
        else:
            made, entry = True, {"owned": True}
            part = {"kind": kind, "id": free_id(con, f"{build}-{name}"), "name": f"{kind.replace('_', ' ')} of {build}"}
        model = part["id"]
        if made and "part" in entry:
            id = free_id(con, f"{build}-{name}")
            part = {"kind": kind, "id": id, "name": f"{part['name']} ({build})"[:200], "based_on": part["id"]}
        extra = {"with": tool, "by": by, "date": date or now()[:10], "note": note, "supersedes": supersedes}
        if inner:
            entry_id, _, field = inner.rpartition(".")
            deep = _field(feature, entry_id, field, where)
            _known_entry(db, owner, model, head, entry_id, where)
            entries = [dict(each) for each in part.get(head, ())]
            row = next((each for each in entries if each["id"] == entry_id), None)
            if row is None:
                row = {"id": entry_id}
                entries.append(row)
            _put_value(row, deep, text, extra)
            part[head] = entries
        else:
            _put_value(part, feature, text, extra)
        records = [part]
        if made:
            owner["roles"] = {**owner.get("roles", {}), name: {**entry, "part": part["id"]}}
            records.append(owner)
        return Done(part["id"], made, tuple(_write(db, records, by, origin)))


def add_gauge_reading(path: str, record: Mapping[str, Any], *, by: str = "", origin: str = "command") -> Change:
    """Write what a gauge, a meter or an eye saw. `kind`, `id`, `by` and `date` may be left out of the record.

    UnknownName or Faults for a build, place, tool or value that makes no sense.
    """
    made = {"kind": "reading", **record}
    made["by"] = made.get("by") or by
    made["date"] = made.get("date") or now()[:10]
    with writing(path) as db:
        con = cast(Connection, db.conn)
        if not isinstance(made.get("id"), str):
            place = re.sub(r"[^a-z0-9]+", "-", str(made.get("place", "")).lower()).strip("-")
            made["id"] = free_id(con, f"{made.get('build', '')}-{place}", "reading")
        elif db.execute("SELECT 1 FROM reading WHERE id = ?", [made["id"]]).fetchone():
            raise RecordFault(f"the id {made['id']} is taken", place="id", step="choose another id, or leave it out")
        return _write(db, [made], by or made["by"], origin)[0]


def add_report(
    path: str, id: str, *, agrees: bool = True, text: str = "", by: str, date: str = "", origin: str = "command"
) -> dict[str, Any]:
    """Write down that one more person met an incompatibility, or did not; the record as it is now.

    Who spoke before speaks anew: the last word of each counts. UnknownName for an incompatibility that there is not.
    """
    with writing(path) as db:
        record = stored(db, "incompatibility", id)
        said = {"by": by, "date": date or now()[:10], "agrees": agrees, **({"text": text} if text else {})}
        record["reports"] = [*record.get("reports", ()), said]
        _write(db, [record], by, origin)
        return record


def _write(db: Database, records: list[dict[str, Any]], by: str, origin: str) -> list[Change]:
    """Check records that may name each other, and write them."""
    good = [check(Given(each)) for each in records]
    references.raise_all([fault for faults in refer(db, good).values() for fault in faults])
    return apply(db, [references.completed(one) for one in good], by=by, origin=origin)


def _entry(said: Any) -> dict[str, Any]:
    """A role's entry with its fields, however it was written; empty for none."""
    if said is None:
        return {}
    return {"part": said} if isinstance(said, str) else dict(said)


def _set_item(db: Database, part: dict[str, Any], entry: Mapping[str, Any], item: str, done: bool) -> None:
    """The fact that rules read: the flag, or the code among the others that hold."""
    features = KINDS[part["kind"]].features
    if item in features:
        part[item] = done
        return
    name = next(name for name, each in features.items() if each.sort == "codes" and item in each.options)
    held = set(read_part(cast(Connection, db.conn), entry["part"]).facts.get(name, ())) if entry else set()
    held = held | {item} if done else held - {item}
    part[name] = [code for code in features[name].options if code in held]


def _field(feature: Feature, entry: str, field: str, where: str) -> Feature:
    if feature.item is None:
        raise Fault(f"{feature.name} has no entries", place=where[:120], step=f"name only {feature.name}")
    fields = {name: each for name, each in feature.item.features.items() if name != "id"}
    if not entry or field not in fields:
        fault = unknown(f"field of {feature.name}", field, fields, place=where[:120])
        fault.step = fault.step or f"write {feature.name}.ENTRY.FIELD; its fields are: {', '.join(fields)}"
        raise fault
    return fields[field]


def _known_entry(db: Database, owner: Mapping[str, Any], part: str, head: str, entry: str, where: str) -> None:
    """UnknownName unless the part has that entry, or a list of another part of the build has one of that name."""
    con = cast(Connection, db.conn)
    mine = [each["id"] for each in read_part(con, part).facts.get(head, ())]
    if entry in mine:
        return
    everywhere: dict[str, None] = {}
    for said in owner.get("roles", {}).values():
        other = read_part(con, _entry(said)["part"])
        for name, feature in KINDS[other.kind].features.items():
            if feature.item is not None:
                everywhere.update(dict.fromkeys(each["id"] for each in other.facts.get(name, ())))
    if entry in everywhere:
        return
    names = mine or [*everywhere]
    fault: UnknownName = unknown(f"entry of {head}", entry, names, place=where[:120])
    fault.step = fault.step or (f"there are: {', '.join(names[:30])}" if names else "record some in the part first")
    raise fault


def _put_value(into: dict[str, Any], feature: Feature, text: str, extra: Mapping[str, Any]) -> None:
    """One reading more of a dimension, the value of anything else; the model judges both."""
    word = text.strip()
    if feature.sort == "list":
        raise Fault(
            f"{feature.name} is a list and takes no single value", step=f"name one field: {feature.name}.ENTRY.FIELD"
        )
    if feature.sort == "dimension":
        reading = {"value": word, **{name: each for name, each in extra.items() if each}}
        if not extra["with"]:
            reading["how"] = "measured"
        before = into.get(feature.name)
        several = before if isinstance(before, list) else [] if before is None else [before]
        into[feature.name] = [*several, reading]
        return
    readers: dict[str, Callable[[], Any]] = {
        "flag": lambda: {"yes": True, "true": True, "no": False, "false": False}.get(word.lower(), word),
        "count": lambda: int(word) if re.fullmatch(r"[0-9]{1,6}", word) else word,
        "codes": lambda: [code.strip() for code in word.split(",") if code.strip()] if word != "none" else [],
    }
    into[feature.name] = readers[feature.sort]() if feature.sort in readers else word


__all__ = ["LISTS", "Done", "add_gauge_reading", "add_report", "fill", "take_reading", "tick"]
