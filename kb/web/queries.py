"""What the pages read beyond a check: lists, counts, history. Read-only, over the tables of `kb/store/schema.py`."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, NamedTuple

from kb.records import KINDS
from kb.store.opening import Connection
from kb.store.read import matching


class Named(NamedTuple):
    """A record in a list."""

    id: str
    name: str
    maker: str = ""
    kind: str = ""

    @property
    def label(self) -> str:
        return " · ".join(piece for piece in (self.name, self.maker, self.id) if piece)


class Event(NamedTuple):
    """One change of a record; `changes` are (field, before, after) as people read them."""

    at: str
    by: str
    action: str
    origin: str
    changes: tuple[tuple[str, str, str], ...]


def stamp(con: Connection) -> int:
    """A number that grows with every change of the base."""
    return int(con.rows("SELECT coalesce(max(id), 0) FROM history")[0][0])


def counts(con: Connection) -> dict[str, int]:
    """How many parts of each kind, and how many builds, incompatibilities, sources."""
    found = dict.fromkeys(KINDS, 0)
    found.update(con.rows("SELECT kind, count(*) FROM part GROUP BY kind"))
    for table in ("build", "incompatibility", "source"):
        found[table] = con.rows(f"SELECT count(*) FROM {table}")[0][0]  # a name of our own, not of a user
    return found


def parts(con: Connection, kinds: Iterable[str], most: int) -> dict[str, list[Named]]:
    """By kind the parts, by name; at most `most` of a kind."""
    found = {}
    for kind in kinds:
        rows = con.rows(
            "SELECT id, name, coalesce(maker, ''), kind FROM part WHERE kind = ? ORDER BY name, id LIMIT ?",
            (kind, most),
        )
        found[kind] = [Named(*row) for row in rows]
    return found


def some_parts(con: Connection, kinds: Iterable[str], most: int) -> dict[str, list[Named]]:
    """By kind the parts, by name; of a kind that has more than `most` no more than one beyond, in no order.

    Never more is read than is given, however many parts there are.
    """
    found = {}
    for kind in kinds:
        sql = "SELECT id, name, coalesce(maker, ''), kind FROM part WHERE kind = ? LIMIT ?"
        rows = [Named(*row) for row in con.rows(sql, (kind, most + 1))]
        found[kind] = sorted(rows, key=lambda each: (each.name, each.id)) if len(rows) <= most else rows
    return found


def parts_like(con: Connection, kind: str, words: str, most: int) -> list[Named]:
    """The parts of a kind whose name, maker, notes or id hold all of `words`, best first."""
    rows = con.rows(
        "SELECT part.id, part.name, coalesce(part.maker, ''), part.kind FROM search_fts "
        "JOIN search ON search.id = search_fts.rowid JOIN part ON part.id = search.record "
        "WHERE search_fts MATCH ? AND search.kind = ? LIMIT ?",
        (matching(words), kind, most),
    )
    return [Named(*row) for row in rows]


def named(con: Connection, ids: Sequence[str]) -> dict[str, Named]:
    """The parts with these ids, those that exist."""
    marks = ", ".join("?" for _ in ids)
    rows = con.rows(f"SELECT id, name, coalesce(maker, ''), kind FROM part WHERE id IN ({marks})", ids)
    return {row[0]: Named(*row) for row in rows}


def builds(con: Connection, most: int = 200) -> list[Named]:
    """The recorded builds, by name."""
    return [Named(*row) for row in con.rows("SELECT id, name FROM build ORDER BY name, id LIMIT ?", (most,))]


def fullest_builds(con: Connection, most: int = 200) -> list[Named]:
    """The recorded builds, those with the most roles filled first: a try with two parts comes after a whole car."""
    rows = con.rows(
        "SELECT build.id, build.name FROM build LEFT JOIN build_role ON build_role.build = build.id "
        "GROUP BY build.id ORDER BY count(build_role.role) DESC, build.name, build.id LIMIT ?",
        (most,),
    )
    return [Named(*row) for row in rows]


def roles_of(con: Connection, build: str) -> dict[str, str]:
    """Role -> part id of a recorded build; empty for one that does not exist."""
    return dict(con.rows("SELECT role, part FROM build_role WHERE build = ? ORDER BY role", (build,)))


def builds_with(con: Connection, part: str) -> list[tuple[str, str, str]]:
    """(build id, its name, role) wherever the part is used."""
    return con.rows(
        "SELECT build.id, build.name, build_role.role FROM build_role JOIN build ON build.id = build_role.build "
        "WHERE build_role.part = ? ORDER BY build.name, build_role.role LIMIT 100",
        (part,),
    )


def builds_touched(con: Connection, part: str) -> list[tuple[str, str, str, str]]:
    """(build id, its name, role, part there) wherever the part is used, or one that inherits its figures."""
    return con.rows(
        "WITH RECURSIVE heir(id) AS (VALUES (?) UNION SELECT part.id FROM part JOIN heir ON part.based_on = heir.id) "
        "SELECT build.id, build.name, build_role.role, build_role.part FROM build_role JOIN heir ON heir.id = "
        "build_role.part JOIN build ON build.id = build_role.build ORDER BY build_role.part <> ?, build.name, "
        "build_role.role LIMIT 100",
        (part, part),
    )


def based_on(con: Connection, part: str) -> list[Named]:
    """The parts that inherit this one's figures."""
    rows = con.rows(
        "SELECT id, name, coalesce(maker, ''), kind FROM part WHERE based_on = ? ORDER BY name LIMIT 100", (part,)
    )
    return [Named(*row) for row in rows]


def clashes(con: Connection, ids: Sequence[str] = (), most: int = 500) -> list[dict[str, Any]]:
    """Incompatibilities, newest first, with who they name; with `ids`, those that name one of these parts."""
    where, values = "", []
    if ids:
        marks = ", ".join("?" for _ in ids)
        where = f"WHERE id IN (SELECT incompatibility FROM incompatibility_party WHERE part IN ({marks}))"
        values = list(ids)
    rows = con.rows(
        "SELECT id, title, status, harm, milestone, coalesce(by, ''), coalesce(found_date, ''), updated "
        f"FROM incompatibility {where} ORDER BY updated DESC, id LIMIT ?",
        (*values, most),
    )
    keys = ("id", "title", "status", "harm", "milestone", "by", "found_date", "updated")
    found = [dict(zip(keys, row, strict=True)) for row in rows]
    sides: dict[str, list[tuple[str, str]]] = {}
    for id, role, part in con.rows(
        "SELECT incompatibility, role, coalesce(part, '') FROM incompatibility_party ORDER BY incompatibility, number"
    ):
        sides.setdefault(id, []).append((role, part))
    for each in found:
        each["parties"] = sides.get(each["id"], [])
    return found


def history(con: Connection, kind: str, id: str, most: int = 100) -> list[Event]:
    """The changes of one record, newest first."""
    rows = con.rows(
        "SELECT at, coalesce(by, ''), action, coalesce(origin, ''), before, after FROM history "
        "WHERE kind = ? AND record = ? ORDER BY id DESC LIMIT ?",
        (kind, id, most),
    )
    # Where files lie on the machine of who loaded them is nobody's business: their name is enough.
    return [
        Event(at, by, action, origin.rpartition("/")[2], _changes(before, after))
        for at, by, action, origin, before, after in rows
    ]


def _changes(before: str | None, after: str | None) -> tuple[tuple[str, str, str], ...]:
    if before is None or after is None:
        return ()
    old, new = json.loads(before), json.loads(after)
    names = [name for name in {**old, **new} if old.get(name) != new.get(name)]
    return tuple((name, _short(old.get(name)), _short(new.get(name))) for name in names)


def _short(value: Any) -> str:
    if value is None:
        return "not recorded"
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 160 else text[:157] + "..."
