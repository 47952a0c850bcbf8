"""Readings of a part that a build does not have yet: the one in front of you, in a yard or on a bench.

Such a part stands under the build's alternatives for the role, until somebody puts it in or leaves it behind. Each call
is one transaction with its history, or nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, cast

from kb.errors import Fault
from kb.measure import Dimension
from kb.records.part import Part
from kb.roles import role as role_named
from kb.roles import role_feature
from kb.store.change import Done, _entry, _field, _known_entry, _put_value, _write, take_reading
from kb.store.opening import Connection
from kb.store.read import part as read_part
from kb.store.schema import writing
from kb.store.sharing import free_id, is_shared
from kb.store.write import now, stored


def take_reading_of(
    path: str,
    build: str,
    part: str,
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
    """Record what was measured on `part`, which fills the role of `where` (`pan.sump_depth`) or may fill it one day.

    In the build already: as `kb.store.change.take_reading`. Else the build considers it from now on: a model, which is
    a part that others use or that is known from more than readings taken on it, gives `<build>-<role>`, based on it.
    UnknownName for a build, part, feature, entry or tool that there is not; Faults for a value that makes no sense.
    """
    name, _, rest = where.partition(".")
    head, _, inner = rest.partition(".")
    feature = role_feature(f"{name}.{head}", place=where[:120]).feature
    if not part:
        raise Fault("no part is named", place=where[:120], step="choose the part that was measured")
    with writing(path) as db:
        owner = stored(db, "build", build)
        inside = _entry(owner.get("roles", {}).get(name)).get("part") == part
    if inside:
        return take_reading(path, build, where, text, tool=tool, by=by, date=date, note=note, supersedes=supersedes,
                            origin=origin)  # fmt: skip
    with writing(path) as db:
        con = cast(Connection, db.conn)
        owner = stored(db, "build", build)
        record = stored(db, role_named(name).kind.kind, part)
        others = [_entry(each) for each in owner.get("alternatives", {}).get(name, ())]
        considered = next((each for each in others if each["part"] == part), {"part": part})
        made = is_shared(con, build, part) or not (
            considered.get("owned") or record.get("based_on") or _on_a_bench(read_part(con, part))
        )
        if made:
            id = free_id(con, f"{build}-{name}")
            record = {
                "kind": record["kind"], "id": id, "name": f"{record['name']} ({build})"[:200], "based_on": part,
            }  # fmt: skip
        extra = {"with": tool, "by": by, "date": date or now()[:10], "note": note, "supersedes": supersedes}
        if inner:
            entry_id, _, field = inner.rpartition(".")
            deep = _field(feature, entry_id, field, where)
            _known_entry(db, owner, part, head, entry_id, where)
            record[head] = _with_entry(record.get(head, ()), entry_id)
            _put_value(next(each for each in record[head] if each["id"] == entry_id), deep, text, extra)
        else:
            _put_value(record, feature, text, extra)
        left = [each for each in others if each["part"] != part]
        owner = _considering(owner, name, [*left, {**considered, "part": record["id"]}])
        return Done(record["id"], made, tuple(_write(db, [record, owner], by, origin)))


def note_unnamed(path: str, build: str, role: str, name: str, *, by: str, origin: str = "command") -> str:
    """Begin a record for a part that nobody has recorded, which the build considers for the role; its id.

    UnknownName for a build or a role that there is not; Faults for a name that no record takes.
    """
    kind = role_named(role, place=role[:60]).kind.kind
    with writing(path) as db:
        owner = stored(db, "build", build)
        id = free_id(cast(Connection, db.conn), f"{build}-{role}")
        others = [_entry(each) for each in owner.get("alternatives", {}).get(role, ())]
        owner = _considering(owner, role, [*others, {"part": id}])
        _write(db, [{"kind": kind, "id": id, "name": name}, owner], by, origin)
        return id


def _on_a_bench(part: Part) -> bool:
    """Whether all that is known of a part without a maker was read off it: so it is one thing, and no model."""
    return not part.maker and all(each.how == "measured" for each in _readings(part.facts))


def _readings(facts: Mapping[str, Any]) -> Iterable[Any]:
    for value in facts.values():
        if isinstance(value, Dimension):
            yield from value.readings
        elif isinstance(value, tuple):
            for entry in value:
                yield from _readings(entry)


def _with_entry(entries: Iterable[Mapping[str, Any]], id: str) -> list[dict[str, Any]]:
    """The entries of a list, the one with this id among them."""
    found = [dict(each) for each in entries]
    return found if any(each["id"] == id for each in found) else [*found, {"id": id}]


def _considering(owner: Mapping[str, Any], role: str, entries: Iterable[Mapping[str, Any]]) -> dict[str, Any]:
    """The build with these alternatives for a role."""
    plain = [each["part"] if set(each) == {"part"} else dict(each) for each in entries]
    return {**owner, "alternatives": {**owner.get("alternatives", {}), role: plain}}


__all__ = ["note_unnamed", "take_reading_of"]
