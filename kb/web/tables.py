"""What Datasette's table pages say of our tables: titles, meanings of columns, links to our pages."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache
from typing import Any, NamedTuple

from markupsafe import Markup, escape

from kb.records import KINDS
from kb.records._kind import SHOWN
from kb.store.read import matching
from kb.web.addresses import page_of
from kb.web.showing import words

_FIXED = {
    "part": "Every part, of whatever kind, with what identifies it.",
    "dimension": "Every reading of every dimension, with how it is known.",
    "build": "Builds: parts in roles, for one engine in one car.",
    "build_role": "Which part fills which role of which build.",
    "incompatibility": "Clashes that someone found, with their evidence.",
    "incompatibility_party": "Who clashes: a part, or a class of parts, in a role.",
    "incompatibility_review": "Judgements of reported clashes.",
    "incompatibility_report": "What others say of a recorded clash.",
    "build_alternative": "Parts under consideration for a role of a build.",
    "donor": "Cars in a yard and lists of shops.",
    "donor_part": "Which donor carries which part.",
    "reading": "What gauges, meters and eyes saw at a point of a circuit.",
    "source": "Where figures come from.",
    "instrument": "Measuring instruments with the error of one reading.",
    "term": "Codes of the vocabularies, such as rail patterns.",
    "history": "Every change of every record: what, when, by whom, from what.",
}
_HIDDEN = ("meta", "search", "search_fts", "_sqlite_migrations")
# For programs: the record as it was written, what follows from it, when it was stored. JSON, CSV and the row hold them.
_INNER = ("record", "facts", "revision", "updated")
_FIRST = 5  # filled columns that a phone shows of each row; more make a row taller than a thumb's scroll
_UNITS = {
    "mm2": "mm²", "deg": "degrees", "k": "K", "kpa": "kPa", "nm": "N·m", "n": "N", "kgm3": "kg/m³", "mm2s": "mm²/s",
    "us": "µs", "kw": "kW", "l_per_min": "l/min", "v": "V", "a": "A", "ohm": "Ω", "mh": "mH", "g_per_kwh": "g/kWh",
    "g_mm": "g·mm", "per_in": "per inch", "pct": "%", "mm_per_m": "mm/m",
}  # fmt: skip


class Columns(NamedTuple):
    """Which columns of the rows at hand a page shows, by place; and the names of those that it leaves out."""

    shown: tuple[int, ...]
    empty: tuple[str, ...]
    inner: tuple[str, ...]


@cache
def descriptions() -> dict[str, Any]:
    """Metadata of the tables, in Datasette's form."""
    found: dict[str, Any] = {}
    for name, text in _FIXED.items():
        found[name] = {"title": words(name), "description": text}
    for name, kind in KINDS.items():
        columns = {}
        for feature in kind.features.values():
            if feature.sort != "list":
                unit = _unit(feature.quantity)
                columns[feature.column] = feature.meaning + (f", in {unit}" if unit else "")
        found[name] = {"title": words(name), "description": (kind.__doc__ or "").strip(), "columns": columns}
    found["part"]["label_column"] = "name"
    found["incompatibility"]["label_column"] = "title"
    for name in _HIDDEN:
        found[name] = {"hidden": True}
    return found


def groups(names: Sequence[str]) -> list[tuple[str, list[str]]]:
    """(heading, tables) of the page of all tables; a group without a table is left out."""
    sorts: dict[str, list[str]] = {
        "Records and what holds them together": [],
        "Kinds of part": [],
        "Lists of a part": [],
    }
    common, kinds, lists = sorts.values()
    for name in names:
        (common if name in _FIXED else kinds if name in KINDS else lists).append(name)
    return [(heading, some) for heading, some in sorts.items() if some]


def _unit(quantity: str) -> str:
    suffix = SHOWN[quantity][0] if quantity else ""
    return _UNITS.get(suffix, suffix)


@cache
def _features(table: str) -> dict[str, Any]:
    kind = KINDS.get(table)
    return {feature.column: feature for feature in kind.features.values()} if kind else {}


def heading(column: str, table: str) -> str:
    """What a column is called: `sump depth, mm` for `sump_depth_mm` of a pan."""
    feature = _features(table).get(column)
    if feature is None:
        return words(column)
    unit = _unit(feature.quantity)
    return words(feature.name) + (f", {unit}" if unit else "")


def columns_of(names: Sequence[str], rows: Iterable[Sequence[Any]]) -> Columns:
    """Columns for a page of rows (raw values, as many as names): those for programs and those without a value go."""
    filled = {at for row in rows for at, value in enumerate(row) if value not in (None, "")}
    inner = {at for at, name in enumerate(names) if name in _INNER}
    shown = tuple(at for at in range(len(names)) if at in filled and at not in inner)
    empty = tuple(name for at, name in enumerate(names) if at not in filled and at not in inner)
    return Columns(shown, empty, tuple(names[at] for at in sorted(inner)))


def first(row: Sequence[Any], shown: Sequence[int]) -> frozenset[int]:
    """The places of the filled columns of a row that a phone shows before it is asked for more."""
    return frozenset([at for at in shown if row[at] not in (None, "")][: _FIRST + 1])


class Found(NamedTuple):
    """A condition for the rows of a table, its parameters, and both in words."""

    sql: str
    values: dict[str, str]
    said: str


def searched(table: str, text: str) -> Found | None:
    """The condition that a row's record holds the words of `text`; None where there is nothing to look for."""
    expression = matching(text)
    if not expression:
        return None
    found = "FROM search JOIN search_fts ON search_fts.rowid = search.id WHERE search_fts MATCH :matchmark_words"
    said = f'the record holds "{text}"'
    if table == "part":
        return Found(
            f"(kind, id) IN (SELECT search.kind, search.record {found})", {"matchmark_words": expression}, said
        )
    values = {"matchmark_words": expression, "matchmark_kind": table}
    return Found(f"id IN (SELECT search.record {found} AND search.kind = :matchmark_kind)", values, said)


def searchable(table: str) -> bool:
    """Whether the rows of a table are records that the search knows."""
    return bool(page_of(table, "x"))


def cell(value: Any, column: str, table: str) -> Any:
    """A link where the value names something that has a page of ours, a tidy figure; None leaves the cell as it is."""
    if isinstance(value, float):
        return f"{value:.7g}"  # no instrument reads further; what conversion and means leave behind it is no figure
    feature = _features(table).get(column)
    if feature is not None and feature.sort == "flag" and value in (0, 1):
        return "yes" if value else "no"
    if isinstance(value, dict):
        id, label = str(value.get("value")), str(value.get("label"))
    else:
        id = label = str(value)
    target = ""
    if column in ("part", "based_on") and value not in (None, ""):
        target = page_of("part", id)
    elif column == "id" and table not in ("part",) and isinstance(value, dict):
        target = page_of(table, id)
    elif column in ("incompatibility", "build") and value not in (None, ""):
        target = page_of(column, id)
    if not target:
        return None
    return Markup('<a href="{}">{}</a>').format(target, escape(label))
