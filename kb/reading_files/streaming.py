"""Record files read a piece at a time: the same records as `read` gives, of files as large as one likes.

    for given in records([*paths]): ...

It tells no faults: whatever is not plainly right raises `Odd`, and `read`, which is slower and keeps the line of every
value, says what it is. JSON is an array of records here, CSV a row a record; other files are read whole.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Iterable, Iterator
from itertools import chain
from typing import IO, Any

from kb.errors import Fault
from kb.reading_files import SUFFIXES, Read, files, read_file
from kb.records.given import Given

STEP = 1 << 18  # characters that are read at once
LONGEST = 2_000_000  # characters of a record: the values of a longer one may take all memory there is
_BLANK = re.compile(r"[ \t\r\n]*")


class Odd(Exception):
    """Something that is better read slowly; place as far as known."""

    def __init__(self, place: str, why: str = "holds something that is not as it should be") -> None:
        super().__init__(f"{place}: {why}")
        self.place, self.why = place, why


def size(paths: Iterable[str | os.PathLike[str]]) -> int:
    """Bytes of all record files at and under these paths, as far as they can be told."""
    total = 0
    for path in paths:
        for name, _ in files(os.fspath(path), Read([], [], [])):
            if os.path.isfile(name) and os.path.splitext(name)[1].lower() in SUFFIXES:
                total += os.path.getsize(name)
    return total


def records(paths: Iterable[str | os.PathLike[str]], skipped: list[str]) -> Iterator[Given]:
    """The records of files and folders, in the order of `read`; names of what is no record file go to `skipped`."""
    seen: set[str] = set()
    for path in paths:
        missing = Read([], [], [])
        for name, asked in files(os.fspath(path), missing):
            real = os.path.realpath(name)
            form = SUFFIXES.get(os.path.splitext(name)[1].lower())
            if real in seen:
                continue
            seen.add(real)
            if form is not None:
                yield from _records(name, form)
            elif asked:
                raise Odd(name)
            else:
                skipped.append(name)
        if missing.faults:
            raise Odd(os.fspath(path))


def _records(name: str, form: str) -> Iterator[Given]:
    if not os.path.isfile(name):
        raise Odd(name)
    try:
        if form == "csv":
            yield from _csv(name)
        elif form == "json" and _is_array(name):
            yield from _array(name)
        else:
            yield from read_file(name)
    except (OSError, UnicodeDecodeError, Fault) as error:
        raise Odd(name, str(error)) from None


def _open(name: str) -> IO[str]:
    return open(name, encoding="utf-8-sig", newline="")


def _is_array(name: str) -> bool:
    with _open(name) as file:
        return file.read(1000).lstrip(" \t\r\n").startswith("[")


def _csv(name: str) -> Iterator[Given]:
    from kb.reading_files._csv import rows_of

    with _open(name) as file:
        head = file.read(STEP).partition("\n")[0]
        file.seek(0)
        found = rows_of(file, head, name)
        first = next(found, None)
        if first is None:
            raise Odd(name, "holds no record")
        yield from chain([first], found)


# -- JSON ----------------------------------------------------------------------------------------------------------


class _Unusual(Exception):
    """A value that the slow reader refuses, or takes otherwise."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise _Unusual
    return found


def _whole(text: str) -> int:
    if len(text) > 18:
        raise _Unusual
    return int(text)


def _number(text: str) -> float:
    number = float(text)
    if len(text) > 60 or number - number != 0.0:
        raise _Unusual
    return number


def _constant(text: str) -> Any:
    raise _Unusual


def _array(name: str) -> Iterator[Given]:
    """The records of a file that holds an array of them."""
    decode = json.JSONDecoder(
        object_pairs_hook=_once, parse_int=_whole, parse_float=_number, parse_constant=_constant
    ).raw_decode
    with _open(name) as file:
        piece = _Piece(file, name)
        piece.take("[")
        if piece.next() == "]":
            raise Odd(name, "holds no record")
        while True:
            if piece.next() != "{":
                raise Odd(piece.place, "an entry of the list is not a record")
            line = piece.line()
            while True:
                try:
                    value, end = decode(piece.text, piece.at)
                    break
                except json.JSONDecodeError as error:
                    if not piece.more():
                        raise Odd(piece.place, f"is not JSON: {error.msg.lower()}") from None
                except (_Unusual, RecursionError):
                    raise Odd(piece.place) from None
            piece.at = end
            yield Given(value, name, {(): line})
            if piece.next() == "]":
                break
            piece.take(",")
        piece.take("]")
        if piece.next():
            raise Odd(piece.place, "goes on after its end")


class _Piece:
    """The part of a file that is in memory, and the place in it."""

    def __init__(self, file: IO[str], name: str) -> None:
        self.file, self.name = file, name
        self.text, self.at, self._counted, self._line = "", 0, 0, 1

    @property
    def place(self) -> str:
        return f"{self.name}:{self.line()}"

    def line(self) -> int:
        """The line of the place."""
        self._line += self.text.count("\n", self._counted, self.at)
        self._counted = self.at
        return self._line

    def more(self) -> bool:
        """Read on, forgetting what lies before the place; False at the end. Odd for a record beyond all bounds."""
        self.line()
        if len(self.text) - self.at > LONGEST:
            raise Odd(self.place, f"has a record of more than {LONGEST:,} characters")
        # As much again as is there: a long record is not begun afresh for every step.
        fresh = self.file.read(max(STEP, len(self.text) - self.at))
        self.text, self.at, self._counted = self.text[self.at :] + fresh, 0, 0
        return bool(fresh)

    def next(self) -> str:
        """The next character that is not blank; empty at the end."""
        while True:
            match = _BLANK.match(self.text, self.at)
            assert match is not None
            self.at = match.end()
            if self.at < len(self.text):
                return self.text[self.at]
            if not self.more():
                return ""

    def take(self, mark: str) -> None:
        """Step over `mark`, which is due next."""
        if self.next() != mark:
            raise Odd(self.place, f"is not JSON: {mark!r} is due")
        self.at += 1
