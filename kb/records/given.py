"""A record as given, with the place of each of its values, so that a fault can name file, line and field."""

from __future__ import annotations

from typing import Any, NamedTuple

Path = tuple[str | int, ...]


class Given(NamedTuple):
    """One record as given: `data` as plain values, `file` for people, `lines` from a path inside to its line.

    `titles` is set for CSV: the column title under which a field was given.
    """

    data: dict[str, Any]
    file: str = ""
    lines: dict[Path, int] = {}  # noqa: RUF012 - never changed
    titles: dict[str, str] = {}  # noqa: RUF012 - never changed

    def line(self, path: Path = ()) -> int:
        """The line of the value at `path`, else of what holds it; 0 when unknown."""
        for end in range(len(path), -1, -1):
            found = self.lines.get(path[:end])
            if found:
                return found
        return 0

    def origin(self) -> str:
        """Where the record begins, as `file:line`."""
        line = self.line()
        return f"{self.file}:{line}" if line else self.file

    def place(self, path: Path = ()) -> str:
        """`file:line: field.entry.field`, as far as known."""
        line = self.line(path)
        head = f"{self.file}:{line}" if line else self.file
        field = dotted(self.data, path)
        if path and path[0] in self.titles:
            field = f"column {self.titles[str(path[0])]}"
        return ": ".join(piece for piece in (head, field) if piece)


def dotted(data: Any, path: Path) -> str:
    """`path` as people write it: entries of a list by their id, else by their number from 1."""
    words: list[str] = []
    for step in path:
        inner = None
        if isinstance(step, int):
            inner = data[step] if isinstance(data, list) and step < len(data) else None
            name = inner.get("id") if isinstance(inner, dict) else None
            words.append(name[:80] if isinstance(name, str) and name else str(step + 1))
        else:
            inner = data.get(step) if isinstance(data, dict) else None
            words.append(step if len(step) <= 80 else step[:77] + "...")
        data = inner
    return ".".join(words)
