"""Strict readers of record files: YAML, JSON and CSV, each value with the line that it stands on.

They give plain dicts, lists, texts, numbers and booleans; what a field may hold is for `kb.records.models` to say.
Nothing is guessed: `no`, `012`, `1:30` and dates stay text, duplicate keys, anchors, tags and NaN are refused.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from kb.errors import Fault, Faults, RecordFault
from kb.records.given import Given, Path

MAX_BYTES = 16_000_000
MAX_DEPTH = 12
MAX_VALUES = 500_000  # in a file that is read with the line of each: they take 300 bytes apiece, however short they are
MAX_FAULTS = 200  # of a file that are told at once
SUFFIXES = {".yaml": "yaml", ".yml": "yaml", ".json": "json", ".csv": "csv"}


class TooLarge(RecordFault):
    """A file with more in it than is read at once."""


class Read(NamedTuple):
    """What a reading of files gave: the good records, the faults, and the files passed over in folders."""

    records: list[Given]
    faults: list[Fault]
    skipped: list[str]


def read(paths: Iterable[str | os.PathLike[str]]) -> Read:
    """Read files and folders (all record files below them). Never raises for what is in a file."""
    result = Read([], [], [])
    seen: set[str] = set()
    for path in paths:
        for name, asked in files(os.fspath(path), result):
            real = os.path.realpath(name)
            if real in seen:
                continue
            seen.add(real)
            if os.path.splitext(name)[1].lower() not in SUFFIXES:
                if asked:
                    step = "record files end in .yaml, .yml, .json or .csv"
                    result.faults.append(RecordFault("is not a record file by its name", place=name, step=step))
                else:
                    result.skipped.append(name)
                continue
            try:
                result.records.extend(read_file(name))
            except Faults as faults:
                result.faults.extend(faults.faults)
            except Fault as fault:
                result.faults.append(fault)
    return result


def files(path: str, result: Read) -> Iterator[tuple[str, bool]]:
    """Each file at or under `path`, with whether it was named itself."""
    if not os.path.lexists(path):
        result.faults.append(RecordFault("there is no such file or folder", place=path, step="check the path"))
    elif not os.path.isdir(path):
        yield path, True
    else:
        for folder, inner, names in os.walk(path):
            inner[:] = sorted(name for name in inner if not name.startswith("."))
            for name in sorted(names):
                if not name.startswith("."):
                    yield os.path.join(folder, name), False


def read_file(path: str | os.PathLike[str]) -> list[Given]:
    """The records of one file. Raises a Fault or Faults that names file and line."""
    name = os.fspath(path)
    form = SUFFIXES.get(os.path.splitext(name)[1].lower(), "yaml")
    if not os.path.isfile(name):
        raise RecordFault("is not a plain file", place=name, step="give a record file or a folder of them")
    try:
        with open(name, "rb") as file:
            content = file.read(MAX_BYTES + 1)
    except OSError as error:
        step = "see that the file may be read"
        raise RecordFault(f"cannot be read: {error.strerror}", place=name, step=step) from None
    if len(content) > MAX_BYTES:
        limit = f"is larger than {MAX_BYTES // 1_000_000} MB"
        raise RecordFault(limit, place=name, step="split it: one record a file reads best")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        step = "save it as UTF-8"
        raise RecordFault("is not UTF-8 text", place=f"{name}:{line}", step=step) from None
    return read_text(text, name, form)


def read_text(text: str, name: str, form: str) -> list[Given]:
    """The records in `text`; `form` is yaml, json or csv, `name` is what places call it.

    For CSV without a `kind` column, the stem of `name` gives the kind. Raises a Fault or Faults.
    """
    if form == "csv":
        from kb.reading_files._csv import read_csv

        return read_csv(text, name)
    reader = Reader(name)
    if form == "json":
        from kb.reading_files._json import read_json

        tops = [read_json(text, reader)]
    else:
        from kb.reading_files._yaml import read_yaml

        tops = list(read_yaml(text, reader))
    records: list[Given] = []
    for top, lines in tops:
        records.extend(_split(top, lines, reader))
    if not records and not reader.faults:
        step = "write at least kind, id and name"
        reader.faults.append(RecordFault("holds no record", place=name, step=step))
    if len(reader.faults) == 1:
        raise reader.faults[0]
    if reader.faults:
        raise Faults(reader.faults)
    return records


def enough(faults: list[Fault]) -> None:
    """Raise the faults of a file once there are so many that nobody reads on."""
    if len(faults) >= MAX_FAULTS:
        raise Faults([*faults, RecordFault("has more faults after these", place="there", step="mend these first")])


class Reader:
    """Collects the faults of one file and fences its depth and its size."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.faults: list[Fault] = []
        self.values = 0

    def fault(self, message: str, line: int, step: str = "") -> RecordFault:
        """A fault of this file at `line`."""
        return RecordFault(message, place=f"{self.name}:{line}", step=step)

    def note(self, message: str, line: int, step: str = "") -> None:
        """Keep a fault that reading can go on after."""
        self.faults.append(self.fault(message, line, step))
        enough(self.faults)

    def one_more(self, line: int) -> None:
        """Count a value. Raises a fault once there are more than any file of records holds."""
        self.values += 1
        if self.values > MAX_VALUES:
            step = "split it: one record a file reads best"
            raise TooLarge(f"holds more than {MAX_VALUES:,} values", place=f"{self.name}:{line}", step=step)

    def deep(self, depth: int, line: int) -> None:
        """Raise a fault once `depth` passes the limit."""
        if depth > MAX_DEPTH:
            raise self.fault(f"is nested more than {MAX_DEPTH} deep", line, "a record is never that deep")


def _split(top: Any, lines: dict[Path, int], reader: Reader) -> Iterator[Given]:
    """The records of one document: itself, or each entry when it is a list."""
    if isinstance(top, dict):
        top.pop("$schema", None)
        yield Given(top, reader.name, lines)
    elif isinstance(top, list):
        inside: list[dict[Path, int]] = [{} for _ in top]
        for path, line in lines.items():
            if path and isinstance(path[0], int):
                inside[path[0]][path[1:]] = line
        for entry, own in zip(top, inside, strict=True):
            if isinstance(entry, dict):
                yield Given(entry, reader.name, own)
            else:
                reader.note("an entry of the list is not a record", own.get((), 1), "write kind, id and name in each")
    elif top is not None:
        reader.note("is not a record", lines.get((), 1), "write fields as `name: value`, beginning with kind and id")
