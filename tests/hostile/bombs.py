"""Files small for what they would become, read in a process of its own: `python -m tests.hostile.bombs NAME`."""

from __future__ import annotations

import json
import os
import sys
import tempfile
from collections.abc import Callable

from kb.errors import Fault
from kb.reading_files import MAX_BYTES, read_text
from kb.records.given import Given
from kb.records.models import check
from kb.store.load import init, load
from tests.hostile.campaign import computed, memory

SIZE = MAX_BYTES - 1000
BOMBS: dict[str, tuple[str, Callable[[], str]]] = {
    "yaml lists": ("yaml", lambda: "a: [" + "[]," * (SIZE // 3) + "]"),
    "yaml numbers": ("yaml", lambda: "a: [" + "1," * (SIZE // 2) + "]"),
    "yaml entries": ("yaml", lambda: "a:\n" + "- 1\n" * (SIZE // 4)),
    "yaml fields": ("yaml", lambda: "".join(f"k{number}: 1\n" for number in range(SIZE // 12))),
    "yaml twice": ("yaml", lambda: "a: 1\n" * (SIZE // 5)),
    "yaml documents": ("yaml", lambda: "---\n" * (SIZE // 4)),
    "yaml deep": ("yaml", lambda: "a: " + "[" * SIZE),
    "yaml dashes": ("yaml", lambda: "- " * (SIZE // 2)),
    "yaml laughs": (
        "yaml",
        lambda: "a0: &a0 [x]\n" + "".join(f"a{n}: &a{n} [{f'*a{n - 1},' * 9}]\n" for n in range(1, 99)),
    ),
    "yaml one text": ("yaml", lambda: "notes: " + "x" * SIZE),
    "json lists": ("json", lambda: '{"a": [' + "[]," * (SIZE // 3) + "[]]}"),
    "json numbers": ("json", lambda: '{"a": [' + "1," * (SIZE // 2) + "1]}"),
    "json deep": ("json", lambda: "[" * SIZE),
    "json twice": ("json", lambda: "{" + '"a":1,' * (SIZE // 6) + '"a":1}'),
    "json records": ("json", lambda: "[" + '{"kind":"pan"},' * (SIZE // 15) + "{}]"),
    "json digits": ("json", lambda: '{"a": ' + "9" * SIZE + "}"),
    "load one record": ("load", lambda: '[{"kind":"pan","a":[' + "[]," * (SIZE // 3 - 20) + "[]]}]"),
    "load many records": ("load", lambda: "[" + '{"kind":"pan"},' * (SIZE // 15) + "{}]"),
    "csv commas": ("csv", lambda: "id,name\n" + "," * SIZE),
    "csv titles": ("csv", lambda: "id," * (SIZE // 3) + "\n1,2"),
    "csv twice": ("csv", lambda: "id," * 499 + "\n" + ("1," * 499 + "\n") * 8000),
    "csv short rows": ("csv", lambda: "id,name\n" + "a\n" * (SIZE // 2)),
    "csv rows": ("csv", lambda: "id,name\n" + "a,b\n" * (SIZE // 4)),
    "csv quote": ("csv", lambda: 'id,name\n"' + "a" * SIZE),
    "csv returns": ("csv", lambda: "id,name\n" + "\r" * SIZE),
}


def main(name: str) -> None:
    """Read the bomb as `load` would, and print what it came to as JSON."""
    form, make = BOMBS[name]
    text, start = make(), computed()
    try:
        if form == "load":
            return told(load_of(text), start)
        for each in read_text(text, f"pan.{form}", form):
            check(Given(each.data, each.file, each.lines))
        said = ""
    except Fault as fault:
        said = str(fault)
    told(said, start)


def load_of(text: str) -> str:
    """What `load` says of the text as a file."""
    with tempfile.TemporaryDirectory() as folder:
        file = os.path.join(folder, "bomb.json")
        with open(file, "w", encoding="utf-8") as out:
            out.write(text)
        init(os.path.join(folder, "made.db"))
        return str(load(os.path.join(folder, "made.db"), [file], by="tests"))


def told(said: str, start: float) -> None:
    print(json.dumps({"said": said[:300], "length": len(said), "seconds": computed() - start, "memory": memory()}))


if __name__ == "__main__":
    main(sys.argv[1])
