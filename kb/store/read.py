"""Reading the database for a check: read-only, standard library only.

con = open_readonly("kb.db")
found = build(con, "drover")
parts(con, ["deep-pan", "long-pickup"])
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from os import PathLike, fspath
from typing import TYPE_CHECKING, Any, NamedTuple

from kb.errors import UnknownName, unknown
from kb.measure import Instrument
from kb.records.builds import BuildRecord, OwnLimit, RoleEntry
from kb.records.part import Part, assemble
from kb.store.opening import VERSION, Connection, connect, heal, look

if TYPE_CHECKING:
    from kb.gauges import GaugeReading
    from kb.known import Incompatibility
    from kb.supply import Donor

__all__ = [
    "BuildRecord", "Hit", "OwnLimit", "RoleEntry", "alternatives", "ancestry", "build", "donors", "ids",
    "incompatibilities", "instruments", "lines", "none_such", "open_readonly", "part", "parts", "parts_of_kinds",
    "readings", "record", "search",
]  # fmt: skip
# Records that are no parts, each in a table of its own name.
OTHERS = ("build", "incompatibility", "source", "instrument", "term", "donor", "reading")


def open_readonly(path: str | PathLike[str]) -> Connection:
    """A read-only connection. StoreFault if the file is missing, foreign, damaged, older or newer than we read."""
    from kb.errors import StoreFault

    name = fspath(path)
    version = look(name)
    if version < VERSION:
        step = "load any record file into it: that brings it up to this version"
        raise StoreFault(f"is of an older version ({version})", place=name, step=step)
    heal(name)
    return connect(name)


def none_such(what: str, id: str, known: Sequence[str]) -> UnknownName:
    """An UnknownName that says what is near, else what there is."""
    fault = unknown(what, id, known)
    if not fault.step:
        some = ", ".join(known[:20]) + (", ..." if len(known) > 20 else "")
        fault.step = f"there are: {some}" if known else f"load a record of kind {what} first"
    return fault


def ids(con: Connection, kind: str = "") -> list[str]:
    """Ids of all parts of a kind, or of all records of another kind (build, source, ...); without one, of all parts."""
    if kind in OTHERS:
        rows = con.rows(f"SELECT id FROM {kind} ORDER BY id")  # a name of our own, not of a user
    elif kind:
        rows = con.rows("SELECT id FROM part WHERE kind = ? ORDER BY id", (kind,))
    else:
        rows = con.rows("SELECT id FROM part ORDER BY id")
    return [row[0] for row in rows]


def instruments(con: Connection) -> dict[str, Instrument]:
    """The instruments that this database declares over the built-in ones."""
    found = {}
    for id, facts in con.rows("SELECT id, facts FROM instrument WHERE NOT built_in"):
        row = _loads(con, facts)
        row.pop("kind", None)
        row["measures"], row["where"] = tuple(row["measures"]), tuple(row["where"])
        found[id] = Instrument(**row)
    return found


def lines(con: Connection, wanted: Sequence[str]) -> dict[str, list[dict[str, Any]]]:
    """For each part its facts after those of what it is based on, oldest first. Ids that do not exist are left out."""
    facts: dict[str, dict[str, Any]] = {}
    parents: dict[str, str | None] = {}
    rows = con.rows(
        "WITH RECURSIVE line(id) AS (SELECT value FROM json_each(?) UNION SELECT part.based_on FROM part "
        "JOIN line USING (id) WHERE part.based_on IS NOT NULL) "
        "SELECT id, based_on, facts FROM part JOIN line USING (id)",
        (json.dumps(list(wanted)),),
    )
    for id, based_on, text in rows:
        parents[id] = based_on
        facts[id] = _loads(con, text)
    found = {}
    for id in wanted:
        line: list[dict[str, Any]] = []
        at: str | None = id
        while at is not None and at in facts and len(line) < 100:
            line.append(facts[at])
            at = parents[at]
        if line:
            found[id] = line[::-1]
    return found


def ancestry(con: Connection, wanted: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """For each part its own id, then those of what it is based on, nearest first."""
    found = {}
    for id in wanted:
        rows = con.rows(
            "WITH RECURSIVE line(id, depth) AS (VALUES (?, 0) UNION ALL SELECT part.based_on, depth + 1 FROM part "
            "JOIN line USING (id) WHERE part.based_on IS NOT NULL AND depth < 100) SELECT id FROM line ORDER BY depth",
            (id,),
        )
        found[id] = tuple(row[0] for row in rows)
    return found


def parts(con: Connection, wanted: Iterable[str]) -> dict[str, Part]:
    """The parts with these ids. UnknownName for one that does not exist, saying what is near."""
    order = list(dict.fromkeys(wanted))
    tools = instruments(con)
    found = lines(con, order)
    for id in order:
        if id not in found:
            raise none_such("part", id, ids(con))
    return {id: assemble(id, found[id], tools) for id in order}


def part(con: Connection, id: str) -> Part:
    """The part with this id. UnknownName if there is none."""
    return parts(con, [id])[id]


def build(con: Connection, id: str) -> BuildRecord:
    """The build with this id. UnknownName if there is none."""
    rows = con.rows("SELECT facts FROM build WHERE id = ?", (id,))
    if not rows:
        raise none_such("build", id, ids(con, "build"))
    facts = _loads(con, rows[0][0])
    return BuildRecord(
        id,
        facts["name"],
        {role: RoleEntry(**entry) for role, entry in facts.get("roles", {}).items()},
        tuple(OwnLimit(**limit) for limit in facts.get("own_limits", ())),
        facts.get("fits_at", 0.975),
        facts.get("not_at", 0.025),
        facts.get("notes", ""),
        {
            role: tuple(RoleEntry(**entry) for entry in several)
            for role, several in facts.get("alternatives", {}).items()
        },
    )


def alternatives(con: Connection, id: str) -> dict[str, tuple[RoleEntry, ...]]:
    """Role -> the parts under consideration for it, of the build with this id. UnknownName if there is none."""
    return build(con, id).alternatives


def parts_of_kinds(con: Connection, kinds: Iterable[str]) -> dict[str, list[Part]]:
    """Every part of these kinds, by kind, each list by id; a kind without parts has an empty one."""
    found: dict[str, list[Part]] = {kind: [] for kind in kinds}
    rows = con.rows(
        "SELECT id, based_on, facts FROM part WHERE kind IN (SELECT value FROM json_each(?)) ORDER BY id",
        (json.dumps([*found]),),
    )
    facts = {id: _loads(con, text) for id, _, text in rows}
    parents = {id: based_on for id, based_on, _ in rows}
    tools = instruments(con)
    for id in facts:
        line: list[dict[str, Any]] = []
        at: str | None = id
        while at in facts and len(line) < 100:  # what a part is based on is of its own kind
            line.append(facts[at])
            at = parents[at]
        part = assemble(id, line[::-1], tools)
        found[part.kind].append(part)
    return found


def donors(con: Connection) -> list[Donor]:
    """Every donor, by id."""
    from kb.supply import Carried, Donor

    found = []
    for id, text in con.rows("SELECT id, facts FROM donor ORDER BY id"):
        facts = _loads(con, text)
        words = {name: facts.get(name, "") for name in ("car", "years", "place", "seen", "notes")}
        carries = tuple(Carried(**each) for each in facts.get("carries", ()))
        found.append(Donor(id, facts["name"], facts["sort"], carries=carries, **words))
    return found


def readings(con: Connection, build: str) -> list[GaugeReading]:
    """What gauges showed on a build, in the order of starts and dates."""
    from kb.gauges import GaugeReading
    from kb.measure import instruments as built_in
    from kb.records.values import instrument_reads

    tools = {**built_in(), **instruments(con)}
    found = []
    for id, text in con.rows("SELECT id, facts FROM reading WHERE build = ? ORDER BY start, date, id", (build,)):
        facts = _loads(con, text)
        half, tool = facts.get("half"), facts.get("with", "")
        if half is None and "si" in facts and tool in tools:
            reads = instrument_reads(tools[tool].measures, facts["quantity"])
            half = tools[tool].half_width_at(facts["si"]) if reads else None
        words = ("state", "date", "by", "note", "photo", "text")
        more = {name: facts.get(name, "") for name in words}
        more.update({name: facts.get(name) or None for name in ("speed", "temperature", "start")})
        value = facts["si"] if "si" in facts else facts["code"]
        found.append(GaugeReading(id, build, facts["place"], value, half, tool, quantity=facts["quantity"], **more))
    return found


def incompatibilities(con: Connection, *, refuted: bool = False) -> list[Incompatibility]:
    """The recorded clashes, by id; refuted ones only when asked for."""
    from kb.known import Condition, Incompatibility, Party, seen

    found = []
    where = "" if refuted else "WHERE status <> 'refuted'"
    for id, text in con.rows(f"SELECT id, facts FROM incompatibility {where} ORDER BY id"):
        facts = _loads(con, text)
        sides = []
        for each in facts["parties"]:
            said = each.get("conditions", ())
            where_ = (Condition(one["feature"], one["op"], _frozen(one["value"])) for one in said)
            sides.append(Party(each["role"], each.get("part", ""), tuple(where_)))
        found.append(
            Incompatibility(
                id,
                facts["title"],
                facts["status"],
                tuple(sides),
                facts["symptom"],
                facts.get("cause", ""),
                facts.get("remedy", ""),
                tuple(facts["harm"]),
                facts["milestone"],
                facts.get("by", ""),
                facts.get("found_date", ""),
                tuple(seen(each) for each in facts.get("evidence", ())),
            )
        )
    return found


def record(con: Connection, kind: str, id: str) -> dict[str, Any]:
    """Any record as it was given. UnknownName if there is none."""
    flat = kind in OTHERS
    table = kind if flat else "part"
    rows = con.rows(f"SELECT record FROM {table} WHERE id = ? AND record IS NOT NULL", (id,))
    found = _loads(con, rows[0][0]) if rows else {}
    if not found or (not flat and found.get("kind") != kind):
        raise none_such(kind, id, ids(con, kind))
    return found


class Hit(NamedTuple):
    """A record that a search found."""

    kind: str
    id: str
    name: str


def matching(words: str) -> str:
    """`words` as the search index wants them: all of them, the last may be unfinished. Empty where there are none."""
    terms = ['"' + word.replace('"', '""') + '"' for word in words.replace("\0", " ").split()[:20]]
    return " ".join(terms) + "*" if terms else ""


def search(con: Connection, words: str, most: int = 50) -> list[Hit]:
    """Records (no sources, instruments, terms) that hold all of `words`, best first; the last may be unfinished."""
    expression = matching(words)
    if not expression:
        return []
    rows = con.rows(
        "SELECT search.kind, search.record, search.name FROM search JOIN search_fts ON search_fts.rowid = search.id "
        "WHERE search_fts MATCH ? ORDER BY rank, search.kind, search.record LIMIT ?",
        (expression, most),
    )
    return [Hit(*row) for row in rows]


def _frozen(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def _loads(con: Connection, text: str) -> dict[str, Any]:
    try:
        loaded = json.loads(text)
    except (TypeError, ValueError):
        loaded = None
    if not isinstance(loaded, dict):
        from kb.errors import StoreFault

        step = "load your record files into a new database"
        raise StoreFault("holds a record that cannot be read", place=con.path, step=step)
    return loaded
