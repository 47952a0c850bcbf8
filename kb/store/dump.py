"""The database back into record files, and a hash that is equal for equal content."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from typing import Any, NamedTuple, TextIO

from kb.errors import StoreFault
from kb.store import photos
from kb.store.opening import Connection
from kb.store.read import open_readonly
from kb.store.rows import TABLES, canonical

FORMS = ("yaml", "json", "csv")
# When and in which order things were written is no content.
_NOT_CONTENT = {"history", "meta", "_sqlite_migrations"}
_NO_COLUMNS = {"updated", "revision"}
_NUMBERED = {"dimension", "search"}


class Dumped(NamedTuple):
    """What a dump wrote: files, number of records, and records that the form could not hold (as kind/id)."""

    files: list[str]
    records: int
    left_out: list[str]
    pictures: int = 0

    def __str__(self) -> str:
        words = f"{self.records} records"
        if self.files:
            words += f" in {len(self.files)} files"
        if self.pictures:
            words += f", {self.pictures} picture{'s' if self.pictures > 1 else ''} in {photos.DUMPED}/"
        if self.left_out:
            shown = ", ".join(self.left_out[:10]) + (", ..." if len(self.left_out) > 10 else "")
            words += f"; {len(self.left_out)} left out, which a table cannot hold: {shown}"
        return words


def records(con: Connection, kind: str = "") -> Iterator[dict[str, Any]]:
    """Every record as given, by kind and id; of one kind if `kind` is set."""
    for table in TABLES:
        order = "kind, id" if table == "part" else "id"
        for (text,) in con.rows(f"SELECT record FROM {table} WHERE record IS NOT NULL ORDER BY {order}"):
            record = json.loads(text)
            if not kind or record["kind"] == kind:
                yield record


def dump(
    path: str | os.PathLike[str], to: str | os.PathLike[str] | TextIO, form: str = "yaml", *, kind: str = "",
    replace: bool = False,
) -> Dumped:  # fmt: skip
    """Write every record (or those of one kind) to a folder, or to a stream as one text.

    In a folder each record gets `<kind>/<id>.yaml` (or .json), read back without loss by `load`; for CSV each kind
    gets one table. A table cannot hold lists, several readings or builds: such records are left out of it and named
    in the report. Pictures that the records name go along, into `photos/`. A stream takes CSV of one kind only.
    StoreFault for a folder that holds something already, unless `replace` (then files of the same name are overwritten
    and others left alone).
    """
    if form not in FORMS:
        raise StoreFault(f"there is no form {form[:40]!r}", place="form", step=f"use one of {', '.join(FORMS)}")
    con = open_readonly(path)
    try:
        found = list(records(con, kind))
    finally:
        con.close()
    if isinstance(to, str | os.PathLike):
        folder = os.fspath(to)
        done = _to_folder(found, folder, form, replace)
        names = [name for record in found for name in photos.named(record)]
        came = photos.carry([photos.folder_of(path)], os.path.join(folder, photos.DUMPED), names)
        return done._replace(pictures=len(came))
    text, left = _one_text(found, form)
    to.write(text)
    return Dumped([], len(found) - len(left), left)


def _names(some: list[dict[str, Any]]) -> list[str]:
    return [f"{record['kind']}/{record['id']}" for record in some]


def _by_kind(found: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    kinds: dict[str, list[dict[str, Any]]] = {}
    for record in found:
        kinds.setdefault(record["kind"], []).append(record)
    return kinds


def _one_text(found: list[dict[str, Any]], form: str) -> tuple[str, list[str]]:
    if form == "yaml":
        return "---\n".join(_text(record, form) for record in found), []
    if form == "json":
        return json.dumps(found, ensure_ascii=False, indent=2, allow_nan=False) + "\n", []
    kinds = _by_kind(found)
    if len(kinds) > 1:
        step = f"choose one kind of: {', '.join(kinds)}"
        raise StoreFault("a CSV text holds one kind", place="form", step=step)
    text, left = _csv(found)
    return text, _names(left)


def _csv(some: list[dict[str, Any]]) -> tuple[str, list[dict[str, Any]]]:
    from kb.reading_files._csv import csv_text

    return csv_text(some[0]["kind"], some) if some else ("", [])


def _text(record: dict[str, Any], form: str) -> str:
    if form == "json":
        return json.dumps(record, ensure_ascii=False, indent=2, allow_nan=False) + "\n"
    from kb.reading_files._yaml import yaml_text

    return yaml_text(record)


def _to_folder(found: list[dict[str, Any]], folder: str, form: str, replace: bool) -> Dumped:
    if os.path.lexists(folder) and not os.path.isdir(folder):
        raise StoreFault("is no folder", place=folder, step="name a folder")
    if os.path.isdir(folder) and os.listdir(folder) and not replace:
        step = "name a new folder, or ask to replace the files in it"
        raise StoreFault("is not empty", place=folder, step=step)
    files: list[str] = []
    left: list[str] = []
    if form == "csv":
        for kind, some in _by_kind(found).items():
            text, missing = _csv(some)
            left += _names(missing)
            if text:
                files.append(_write(os.path.join(folder, f"{kind}.csv"), text))
        return Dumped(files, len(found) - len(left), left)
    for record in found:
        name = os.path.join(folder, record["kind"], *f"{record['id']}.{form}".split("/"))
        files.append(_write(name, _text(record, form)))
    return Dumped(files, len(found), left)


def _write(name: str, text: str) -> str:
    try:
        os.makedirs(os.path.dirname(name), exist_ok=True)
        with open(name, "w", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except OSError as error:
        step = "choose a folder that you may write to, on a disk with room"
        raise StoreFault(f"cannot be written: {error.strerror}", place=name, step=step) from None
    return name


def content_hash(path: str | os.PathLike[str]) -> str:
    """A hash over every row of every table but history and times: equal for databases of equal content."""
    con = open_readonly(path)
    try:
        return hash_of(con)
    finally:
        con.close()


def hash_of(con: Connection) -> str:
    """The same of an open database, of any version that we made."""
    import hashlib

    total = hashlib.sha256()
    for table in sorted(_content_tables(con)):
        columns = [row[1] for row in con.rows(f'PRAGMA table_info("{table}")')]
        kept = [name for name in columns if name not in _NO_COLUMNS and not (table in _NUMBERED and name == "id")]
        names = ", ".join(f'"{name}"' for name in kept)
        rows = [_plain(kept if table in TABLES else [], row) for row in con.rows(f'SELECT {names} FROM "{table}"')]
        total.update(canonical([table, kept, sorted(rows)]).encode())
    return total.hexdigest()


def _content_tables(con: Connection) -> list[str]:
    names = [row[0] for row in con.rows("SELECT name FROM sqlite_master WHERE type = 'table'")]
    return [name for name in names if name not in _NOT_CONTENT and not name.startswith(("search_fts", "sqlite_"))]


def _plain(columns: list[str], row: Any) -> str:
    """A row as text; a record inside it counts by its meaning, not by the order of its fields."""
    values = list(row)
    for number, name in enumerate(columns):
        if name in ("record", "facts") and values[number]:
            values[number] = json.loads(values[number])
    return canonical(values)
