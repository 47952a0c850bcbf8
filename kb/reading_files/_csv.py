"""The CSV of record files: one kind a file, one record a row, one feature a column.

A column is named like the feature, or like the feature with a unit: in `sump_depth_mm` the cell `188` means 188 mm,
in `sump_depth_in` the cell `7 1/2` means 7 1/2 in.
Features that are lists (stations, ports) and several readings of one feature need YAML or JSON. An empty cell means
"not known", `-` in a column of several codes means "none".
"""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Callable, Iterable, Iterator
from typing import Any, NamedTuple

from kb.errors import Fault, Faults, RecordFault, near, unknown
from kb.reading_files import Reader, enough
from kb.records import KINDS, Feature
from kb.records.given import Given, Path

# Unit suffix of a column -> the unit in workshop notation.
UNITS = {
    "mm": "mm", "cm": "cm", "in": "in", "thou": "thou", "mm2": "mm2", "in2": "in2", "l": "L", "cc": "cc", "qt": "qt",
    "deg": "deg", "degc": "degC", "degf": "degF", "k": "K", "kpa": "kPa", "mpa": "MPa", "gpa": "GPa", "bar": "bar",
    "psi": "psi", "nm": "N.m", "ftlb": "ft-lb", "n": "N", "lbf": "lbf", "kgm3": "kg/m3", "mm2s": "mm2/s", "cst": "cSt",
    "rpm": "rpm", "us": "us", "ms": "ms", "l_per_min": "L/min", "l_per_h": "L/h", "kw": "kW", "hp": "hp", "kg": "kg",
    "lb": "lb", "g": "g", "v": "V", "a": "A", "ohm": "ohm", "mh": "mH", "g_per_kwh": "g/kWh", "g_mm": "g.mm",
    "per_in": "/in", "per_mm": "/mm", "pct": "%", "mm_per_m": "mm/m",
}  # fmt: skip
COMMON = ("kind", "id", "name", "maker", "based_on", "part_number", "currency", "supply", "notes")
KNOWN = ("how", "source", "date", "by", "with")
# Record kinds other than parts that are flat enough, with the sort of each column.
FLAT = {
    "source": {"id": "text", "title": "text", "sort": "text", "reference": "text", "date": "text"},
    "term": {"id": "text", "meaning": "text"},
    "instrument": {
        "id": "text", "name": "text", "measures": "codes", "half_width": "text", "relative": "price", "shape": "text",
        "resolution": "text", "minutes": "price", "where": "codes", "cost": "text", "hold": "text", "origin": "text",
    },
}  # fmt: skip
_NUMBER = re.compile(
    r"[+-]?(?:(?:\d+ )?\d+/\d+|(?:\d+(?:\.\d+)?|\.\d+)(?:[eE][+-]?\d{1,2})?)(?:\s*(?:\+/-|±)\s*\d+(?:\.\d+)?)?\Z"
)
_WHOLE = re.compile(r"-?(?:0|[1-9][0-9]{0,17})\Z")
_FIGURE = re.compile(r"-?(?:0|[1-9][0-9]{0,17})(?:\.[0-9]{1,40})?(?:e[+-]?[0-9]{1,2})?\Z")


MOST_COLUMNS = 500
LONGEST_LINE = 400_000


class Column(NamedTuple):
    """A column: its title, the path that it fills, and how a cell is understood."""

    title: str
    path: tuple[str, ...]
    value: Callable[[str], Any]


def _price(cell: str) -> Any:
    if _WHOLE.match(cell):
        return int(cell)
    return float(cell) if _FIGURE.match(cell) else cell


def _count(cell: str) -> Any:
    return int(cell) if _WHOLE.match(cell) else cell


def _flag(cell: str) -> Any:
    return {"true": True, "false": False}.get(cell, cell)


def _codes(cell: str) -> Any:
    return [] if cell == "-" else [code.strip() for code in cell.split(";")]


_SORTS: dict[str, Callable[[str], Any]] = {"price": _price, "count": _count, "flag": _flag, "codes": _codes}


def read_csv(text: str, name: str) -> list[Given]:
    """The records of a CSV text. Faults if its columns or any row are wrong; all are told together."""
    faults: list[Fault] = []
    found: list[Given] = []
    reader = Reader(name)
    for given in rows_of(io.StringIO(text, newline=""), text.partition("\n")[0], name, faults):
        found.append(given)
        for _ in range(len(given.data) + 3):  # the record itself takes as much as a few values
            reader.one_more(given.line())
    if faults:
        raise faults[0] if len(faults) == 1 else Faults(faults)
    if not found:
        step = "the first row names the columns, each further row is a record"
        raise RecordFault("holds no record", place=name, step=step)
    return found


def rows_of(lines: Iterable[str], head: str, name: str, faults: list[Fault] | None = None) -> Iterator[Given]:
    """The records of a CSV's lines, one after another; `head` is its first line.

    Faults of columns and rows go to `faults`, or are raised where none are collected.
    """
    csv.field_size_limit(200_000)
    mark = next((each for each in (",", ";", "\t") if each in head), ",")
    titles: list[str] = []
    columns: list[Column | None] = []
    kind = top = ""
    told: list[Fault] = []
    for line, row in _numbered(csv.reader(_short(lines, name), delimiter=mark, strict=True), name):
        if not titles:
            titles, top = [title.strip() for title in row], f"{name}:{line}"
            if len(titles) > MOST_COLUMNS:
                message = f"has more than {MOST_COLUMNS} columns"
                raise RecordFault(message, place=top, step="the first row names the features, each once")
            continue
        if not kind:
            kind = _kind(titles, (line, row), name)
            columns, told = _columns(kind, titles, top)
        place = f"{name}:{line}"
        if len(row) != len(titles):
            message = f"has {len(row)} cells, the header has {len(titles)} columns"
            told.append(RecordFault(message, place=place, step=f"put quotes round a text that holds {mark!r}"))
        elif "kind" in titles and row[titles.index("kind")].strip() != kind:
            message = f"is of another kind than the rows above ({kind})"
            told.append(RecordFault(message, place=f"{place}: column kind", step="write one kind a file"))
        else:
            yield _record(kind, columns, row, name, line)
        if told and faults is None:
            raise told[0]
        if told and faults is not None:
            faults.extend(told)
            told.clear()
            enough(faults)


def _short(lines: Iterable[str], name: str) -> Iterator[str]:
    """The lines, up to one of a length that no row has: split at its commas it would take many times as much room."""
    for number, line in enumerate(lines, 1):
        if len(line) > LONGEST_LINE:
            message = f"has more than {LONGEST_LINE:,} characters in a line"
            raise RecordFault(message, place=f"{name}:{number}", step="write a record a row")
        yield line


def _numbered(reader: Any, name: str) -> Iterator[tuple[int, list[str]]]:
    """The rows that hold anything, each with the line on which it begins."""
    line = 1
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield line, row
            line = reader.line_num + 1
    except csv.Error as error:
        step = "check the quotes of this row"
        raise RecordFault(f"is not CSV: {error}", place=f"{name}:{max(line, 1)}", step=step) from None


def _kind(titles: list[str], first: tuple[int, list[str]], name: str) -> str:
    kinds = [*KINDS, *FLAT]
    if "kind" in titles:
        line, row = first
        at = titles.index("kind")
        kind = row[at].strip() if at < len(row) else ""
        place = f"{name}:{line}: column kind"
    else:
        kind = os.path.splitext(os.path.basename(name))[0]
        place = name
    if kind in ("build", "incompatibility", "donor", "reading"):
        raise RecordFault(f"a record of kind {kind} does not fit a table", place=place, step="write it as YAML or JSON")
    if kind not in kinds:
        fault = unknown("kind", kind, kinds, place=place)
        fault.step = fault.step or f"name the file after its kind, or add a column kind: {', '.join(kinds)}"
        raise fault
    return kind


def _columns(kind: str, titles: list[str], place: str) -> tuple[list[Column | None], list[Fault]]:
    features = KINDS[kind].features if kind in KINDS else {}
    flat = FLAT.get(kind, {})
    known = [*flat] if flat else [*COMMON, "price", *(f"known.{name}" for name in KNOWN), *features]
    with_units = [each.column for each in features.values() if each.column not in known]
    columns: list[Column | None] = []
    faults: list[Fault] = []
    for title in titles:
        columns.append(_flat(title, flat) if flat else _column(title, features))
        if title in titles[: len(columns) - 1]:
            faults.append(RecordFault(f"has two columns {title[:60]!r}", place=place, step="keep one of them"))
        elif columns[-1] is None:
            feature = features.get(title)
            if feature is not None and feature.sort == "list":
                step = "write such records as YAML or JSON"
                faults.append(RecordFault(f"{title} is a list and does not fit a cell", place=place, step=step))
            else:
                step = near(title, [*known, *with_units]) or f"a {kind} has: {', '.join(known)}"
                faults.append(RecordFault(f"a {kind} has no column {title[:60]!r}", place=place, step=step))
    if "id" not in titles:
        faults.append(RecordFault("has no column 'id'", place=place, step="add one: every record has an id"))
    return columns, faults


def _flat(title: str, fields: dict[str, str]) -> Column | None:
    if title == "kind":
        return Column(title, (title,), str)
    return Column(title, (title,), _SORTS.get(fields[title], str)) if title in fields else None


def _column(title: str, features: dict[str, Feature]) -> Column | None:
    if title in COMMON:
        return Column(title, (title,), str)
    if title == "price":
        return Column(title, (title,), _price)
    head, _, rest = title.partition(".")
    if head == "known" and rest in KNOWN:
        return Column(title, (head, rest), str)
    feature = features.get(title)
    if feature is not None:
        return None if feature.sort == "list" else Column(title, (title,), _SORTS.get(feature.sort, str))
    for at in (found.start() for found in re.finditer("_", title)):  # a suffix may hold some itself: l_per_min
        base, unit = title[:at], UNITS.get(title[at + 1 :])
        if unit and base in features and features[base].sort in ("dimension", "position"):
            return _numbers(title, base, unit)
    return None


def _numbers(title: str, name: str, unit: str) -> Column:
    return Column(title, (name,), lambda cell: f"{cell} {unit}" if _NUMBER.match(cell) else cell)


def _record(kind: str, columns: list[Column | None], row: list[str], name: str, line: int) -> Given:
    data: dict[str, Any] = {"kind": kind}
    lines: dict[Path, int] = {(): line}
    titles: dict[str, str] = {}
    for column, cell in zip(columns, row, strict=True):
        cell = cell.strip()
        if column is None or not cell:
            continue
        inner = data.setdefault("known", {}) if len(column.path) == 2 else data
        inner[column.path[-1]] = column.value(cell)
        titles[column.path[0]] = column.title
    return Given(data, name, lines, titles)


def csv_text(kind: str, records: list[dict[str, Any]]) -> tuple[str, list[dict[str, Any]]]:
    """Records of one kind as CSV, and those that a table cannot hold without loss, which it leaves out.

    Whether a record fits is found by reading its row back.
    """
    rows = [_row(record) for record in records]
    fits = [row for row, record in zip(rows, records, strict=True) if row is not None and _same(kind, row, record)]
    left = [record for row, record in zip(rows, records, strict=True) if row is None or not _same(kind, row, record)]
    titles = list(dict.fromkeys(title for row in fits for title in row))
    return _table(titles, fits) if fits else "", left


def _same(kind: str, row: dict[str, str], record: dict[str, Any]) -> bool:
    try:
        return [one.data for one in read_csv(_table(list(row), [row]), f"{kind}.csv")] == [record]
    except Fault:
        return False


def _table(titles: list[str], rows: list[dict[str, str]]) -> str:
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(titles)
    writer.writerows([[row.get(title, "") for title in titles] for row in rows])
    return out.getvalue()


def _row(record: dict[str, Any]) -> dict[str, str] | None:
    row: dict[str, str] = {}
    for name, value in record.items():
        if name == "known" and isinstance(value, dict):
            row.update({f"known.{key}": str(inner) for key, inner in value.items()})
        elif isinstance(value, bool):
            row[name] = str(value).lower()
        elif isinstance(value, list):
            if not all(isinstance(one, str) for one in value):
                return None
            row[name] = "; ".join(value) or "-"
        elif isinstance(value, dict):
            return None
        else:
            row[name] = str(value)
    return row
