"""A base in trouble: made small, looked over, hurt, and written to through a real server."""

from __future__ import annotations

import http.client
import json
import os
import random
import re
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from kb.store.opening import heal
from tests.cli.running import TOP, environment

LONG = bool(os.environ.get("MATCHMARK_LONG"))
OLD = Path(__file__).parent / "old"


def rounds(short: int) -> int:
    return 100 if LONG else short


def old(version: int, path: Path) -> str:
    """The database that this version of the tables left, from its frozen text."""
    with closing(sqlite3.connect(path, isolation_level=None)) as con:
        con.executescript((OLD / f"version_{version}.sql").read_text(encoding="utf-8"))
    return str(path)


def sound(path: str) -> None:
    """Every page, index and reference of the file is as it should be."""
    heal(path)
    with closing(sqlite3.connect(path)) as con:
        assert con.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert con.execute("PRAGMA foreign_key_check").fetchall() == []


def changes(path: str, record: str) -> list[tuple[Any, Any]]:
    """(before, after) of every change of a record, in the order of the history."""
    with closing(sqlite3.connect(path)) as con:
        rows = con.execute("SELECT before, after FROM history WHERE record = ? ORDER BY id", [record]).fetchall()
    return [tuple(each and json.loads(each) for each in row) for row in rows]  # type: ignore[misc]


def chained(path: str, record: str) -> int:
    """How many changes a record has had; each begins where the one before it ended, and the last is what it is now."""
    told = changes(path, record)
    for (_, after), (before, _) in pairwise(told):
        assert after == before
    with closing(sqlite3.connect(path)) as con:
        (now,) = con.execute("SELECT record FROM part WHERE id = ?", [record]).fetchone()
    assert told[-1][1] == json.loads(now)
    return len(told)


def child(code: str, *arguments: str) -> subprocess.Popen[str]:
    """A process that says `ready` once it has imported what it needs, then does its work."""
    return subprocess.Popen(
        [sys.executable, "-c", code, *arguments], stdout=subprocess.PIPE, text=True, env=environment(), cwd=TOP
    )


def ready(process: subprocess.Popen[str]) -> None:
    assert process.stdout is not None
    assert process.stdout.readline().strip() == "ready"


def killed(code: str, arguments: Callable[[int], tuple[str, ...]], count: int, seed: int) -> Iterator[int]:
    """Run the work `count` times and kill it at a random moment of its length; the number of each round."""
    with child(code, *arguments(0)) as process:
        ready(process)
        began = time.monotonic()
        assert process.wait(120) == 0
        lasts = time.monotonic() - began
    moments = random.Random(seed)
    for number in range(1, count + 1):
        with child(code, *arguments(number)) as process:
            ready(process)
            time.sleep(moments.uniform(0, lasts))
            process.send_signal(signal.SIGKILL)
            process.wait()
        yield number


class Client:
    """Somebody at a browser, over the wire."""

    def __init__(self, port: int, way_in: str = "") -> None:
        self.port = port
        self.cookies: dict[str, str] = {}
        self.token = ""
        if way_in:
            assert self.ask("GET", way_in)[0] == 303
            found = re.search(r'name="csrftoken" value="([^"]+)"', self.ask("GET", "/incompatibility/new")[1])
            assert found is not None
            self.token = found[1]

    def ask(self, method: str, path: str, form: dict[str, str] | None = None) -> tuple[int, str]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        try:
            heads = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
            body = None
            if form is not None:
                body = urlencode({**form, "csrftoken": self.token})
                heads["Content-Type"] = "application/x-www-form-urlencoded"
            connection.request(method, path, body, heads)
            answer = connection.getresponse()
            for name, value in answer.getheaders():
                if name.lower() == "set-cookie":
                    key, _, rest = value.partition("=")
                    self.cookies[key] = rest.partition(";")[0]
            return answer.status, answer.read().decode()
        finally:
            connection.close()

    def measure(self, part: str, value: str, note: str) -> bool:
        """Whether the page said that the measurement is saved."""
        form = {"where": "sump_depth", "value": value, "tool": "depth-gauge", "note": note}
        status, text = self.ask("POST", f"/part/{part}/measure", form)
        return status == 200 and "Measurement saved" in text


def as_keeper(server: Any) -> Client:
    """Who used the address that the server printed."""
    found = re.search(r"/sign-in\?token=\S+", server.said)
    assert found is not None
    return Client(server.port, found[0])


@contextmanager
def locking(path: str) -> Iterator[None]:
    """Another process holds the base for itself."""
    code = (
        "import sqlite3, sys\ncon = sqlite3.connect(sys.argv[1], isolation_level=None)\n"
        "con.execute('BEGIN EXCLUSIVE')\nprint('ready', flush=True)\nsys.stdin.read()"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, path], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        ready(process)
        try:
            yield
        finally:
            process.communicate()
