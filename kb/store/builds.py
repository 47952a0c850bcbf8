"""Builds made and thought over step by step: a new one, and parts under consideration for a role."""

from __future__ import annotations

from collections.abc import Mapping

from kb.records.given import Given
from kb.records.models import check
from kb.roles import role as role_named
from kb.store import references
from kb.store.schema import writing
from kb.store.write import Change, apply, refer, stored, write_record


def begin(
    path: str, build: str, name: str, roles: Mapping[str, str], *, owned: bool = False, by: str, origin: str = "command"
) -> Change:
    """Make a build, with parts in roles or empty. Faults for an id that is taken, or for a part that does not suit."""
    for each in roles:
        role_named(each, place=each[:60])
    filled = {role: {"part": part, "owned": True} if owned else part for role, part in roles.items()}
    record = {"kind": "build", "id": build, "name": name, "roles": filled}
    return write_record(path, record, by=by, origin=origin, new=True)


def consider(
    path: str, build: str, roles: Mapping[str, str], *, owned: bool, by: str, origin: str = "command"
) -> Change:
    """Note a part as under consideration for a role, without putting it there. A part noted before is noted anew."""
    with writing(path) as db:
        record = stored(db, "build", build)
        others = {role: [*some] for role, some in record.get("alternatives", {}).items()}
        for name, part in roles.items():
            role_named(name, place=name[:60])
            rest = [each for each in others.get(name, ()) if (each if isinstance(each, str) else each["part"]) != part]
            others[name] = [*rest, {"part": part, "owned": True} if owned else part]
        record["alternatives"] = others
        one = check(Given(record))
        references.raise_all(refer(db, [one]).get(0, []))
        return apply(db, [references.completed(one)], by=by, origin=origin)[0]
