"""The JSON of record files, with the line of every value; duplicate keys, NaN and infinities are refused."""

from __future__ import annotations

import re
from collections.abc import Callable
from json import decoder
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from kb.reading_files import Reader
    from kb.records.given import Path

scanstring: Callable[[str, int, bool], tuple[str, int]] = decoder.scanstring  # type: ignore[attr-defined]
_SPACE = re.compile(r"[ \t\r\n]*")
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(\.[0-9]+)?([eE][+-]?[0-9]+)?")
_WORDS = {"true": True, "false": False, "null": None}
_WORD = re.compile(r"-?[A-Za-z]+")


class _Scan:
    def __init__(self, text: str, reader: Reader) -> None:
        self.text = text
        self.reader = reader
        self.lines: dict[Path, int] = {}
        self._seen = (0, 1)

    def line(self, at: int) -> int:
        """The line of position `at`; positions come in rising order, so each stretch is counted once."""
        start, line = self._seen if at >= self._seen[0] else (0, 1)
        line += self.text.count("\n", start, at)
        self._seen = (at, line)
        return line

    def broken(self, at: int, due: str) -> Exception:
        found = repr(self.text[at]) if at < len(self.text) else "the end of the file"
        return self.reader.fault(f"is not JSON: {found} where {due} is due", self.line(at), "check commas and quotes")

    def skip(self, at: int) -> int:
        match = _SPACE.match(self.text, at)
        return match.end() if match else at

    def string(self, at: int) -> tuple[str, int]:
        try:
            return scanstring(self.text, at + 1, True)
        except decoder.JSONDecodeError as error:
            message = f"is not JSON: {error.msg.lower()}"
            raise self.reader.fault(message, self.line(error.pos), "check the quotes") from None

    def value(self, at: int, path: Path) -> tuple[Any, int]:
        line = self.line(at)
        self.lines.setdefault(path, line)
        self.reader.one_more(line)
        head = self.text[at : at + 1]
        if head in ("{", "["):
            self.reader.deep(len(path) + 1, self.line(at))
            return self.mapping(at, path) if head == "{" else self.sequence(at, path)
        if head == '"':
            return self.string(at)
        number = _NUMBER.match(self.text, at)
        if number:
            return self.number(number, at), number.end()
        word = _WORD.match(self.text, at)
        if word and word.group() in _WORDS:
            return _WORDS[word.group()], word.end()
        if word:
            message = f"{word.group()[:20]} is not a value"
            raise self.reader.fault(message, self.line(at), "leave the field out, or write the text in quotes")
        raise self.broken(at, "a value")

    def number(self, match: re.Match[str], at: int) -> int | float:
        text = match.group()
        if len(text) <= 60:
            if not match.group(1) and not match.group(2) and len(text) <= 19:
                return int(text)
            number = float(text)
            if number - number == 0.0:
                return number
        shown = text if len(text) <= 20 else text[:17] + "..."
        raise self.reader.fault(f"{shown} is too large or too long a number", self.line(at), "check the figure")

    def sequence(self, at: int, path: Path) -> tuple[list[Any], int]:
        found: list[Any] = []
        at = self.skip(at + 1)
        if self.text[at : at + 1] == "]":
            return found, at + 1
        while True:
            value, at = self.value(at, (*path, len(found)))
            found.append(value)
            at = self.skip(at)
            mark = self.text[at : at + 1]
            if mark == "]":
                return found, at + 1
            if mark != ",":
                raise self.broken(at, "',' or ']'")
            at = self.skip(at + 1)

    def mapping(self, at: int, path: Path) -> tuple[dict[str, Any], int]:
        found: dict[str, Any] = {}
        at = self.skip(at + 1)
        if self.text[at : at + 1] == "}":
            return found, at + 1
        while True:
            if self.text[at : at + 1] != '"':
                raise self.broken(at, "a field name in quotes")
            key, end = self.string(at)
            twice = key in found
            if twice:
                self.reader.note(f"names {key[:60]!r} twice", self.line(at), "keep one of them")
            at = self.skip(end)
            if self.text[at : at + 1] != ":":
                raise self.broken(at, "':'")
            value, at = self.value(self.skip(at + 1), (*path, key))
            if not twice:
                found[key] = value
            at = self.skip(at)
            mark = self.text[at : at + 1]
            if mark == "}":
                return found, at + 1
            if mark != ",":
                raise self.broken(at, "',' or '}'")
            at = self.skip(at + 1)


def read_json(text: str, reader: Reader) -> tuple[Any, dict[Path, int]]:
    """The one value of `text`, with the line of everything in it. Raises a fault where JSON breaks off."""
    scan = _Scan(text, reader)
    value, at = scan.value(scan.skip(0), ())
    at = scan.skip(at)
    if at < len(text):
        raise scan.broken(at, "the end")
    return value, scan.lines
