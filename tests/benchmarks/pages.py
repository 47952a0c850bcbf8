"""How long pages take with 100,000 parts in the base, over the real server, against Datasette's own row page of it.

    python -m tests.benchmarks.pages [--parts 100000] [--requests 400] [--port 8496]

The base is the sample and a generated catalogue (tests/benchmarks/catalogue.py), loaded as any files are. Eight clients
ask at once, each on a connection of its own: for the row page of a part; for the page "will it fit" of four parts that
nobody asked for before (each time another pickup, so that nothing is kept of it); and for the same of twenty sets that
were asked for before, as an address that was passed on is. Pages are taken in turn, in rounds, and every answer is
looked at. Then one client alone asks for the table page.
"""

from __future__ import annotations

import argparse
import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from http.client import HTTPConnection
from itertools import count
from statistics import median

from tests.benchmarks.catalogue import SHARES, records
from tests.benchmarks.timing import held, machine, shown, table

CLIENTS, ROUNDS = 8, 4
WANTED_ROW, WANTED_TABLE = 2.0, 0.050


def make(database: str, folder: str, parts: int) -> None:
    """The sample and `parts` generated ones."""
    from kb.store.load import init, load

    name = os.path.join(folder, "catalogue.json")
    with open(name, "w", encoding="utf-8") as file:
        for at, each in enumerate(records(parts)):
            file.write(("," if at else "[") + "\n" + json.dumps(each))
        file.write("\n]\n")
    init(database, sample=True)
    load(database, [name], by="benchmark")
    os.remove(name)


@contextmanager
def serving(database: str, port: int) -> Iterator[None]:
    """The server as a person starts it, until the end of the block."""
    words = [sys.executable, "-m", "kb.cli", "serve", "--db", database, "--port", str(port)]
    with subprocess.Popen(words, stdout=subprocess.DEVNULL) as process:
        try:
            for _ in range(600):
                with socket.socket() as attempt:
                    if attempt.connect_ex(("127.0.0.1", port)) == 0:
                        break
                time.sleep(0.1)
            yield
        finally:
            process.terminate()


class Client:
    """One visitor with a connection that stays open."""

    def __init__(self, port: int) -> None:
        self.connection = HTTPConnection("127.0.0.1", port, timeout=60)

    def get(self, address: str, words: str) -> float:
        """Seconds until the whole page is there; it must hold `words`."""
        start = time.perf_counter()
        self.connection.request("GET", address)
        answer = self.connection.getresponse()
        text = answer.read()
        took = time.perf_counter() - start
        assert answer.status == 200, f"{address}: {answer.status}"
        assert words.encode() in text, f"{address} does not tell {words!r}"
        return took


def at_once(port: int, pages: Callable[[int], tuple[str, str]], requests: int) -> list[float]:
    """Seconds of each of `requests` requests, asked by all clients at once."""

    def ask(first: int) -> list[float]:
        client = Client(port)
        return [client.get(*pages(number)) for number in range(first, requests, CLIENTS)]

    with ThreadPoolExecutor(CLIENTS) as clients:
        return [took for several in clients.map(ask, range(CLIENTS)) for took in several]


def percentile(took: list[float], share: float) -> float:
    return sorted(took)[min(len(took) - 1, int(share * len(took)))]


def fit_page(pickup: int) -> tuple[str, str]:
    parts = f"block=calder-38&pan=calder-38-pan&pickup=gen-pickup-{pickup:05d}&pan_gasket=calder-38-gasket"
    return f"/fit?{parts}", 'class="answered"'


def agree(database: str, port: int) -> None:
    """What the server says of three sets is what a check says."""
    from kb.base import Base

    client = HTTPConnection("127.0.0.1", port, timeout=60)
    with Base(database) as base:
        for pickup in (1, 2, 3):
            query = fit_page(pickup)[0].partition("?")[2]
            client.request("GET", f"/fit.json?{query}")
            said = json.loads(client.getresponse().read())
            answer = base.check(roles=dict(pair.split("=") for pair in query.split("&")))
            assert said["verdict"] == answer.verdict, query
            verdicts = {each["rule"]: each["verdict"] for each in said["findings"]}
            assert verdicts == {each.rule.id: each.verdict for each in answer.findings}, query


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--parts", type=int, default=100_000)
    parser.add_argument("--requests", type=int, default=400, help="of each page (default: 400)")
    parser.add_argument("--port", type=int, default=8496)
    parser.add_argument("--database", help="one that this benchmark made before, or where to keep it")
    given = parser.parse_args()
    pickups = round(given.parts * SHARES["pickup"])
    with tempfile.TemporaryDirectory() as folder:
        database = given.database or os.path.join(folder, "big.db")
        if not os.path.exists(database):
            make(database, folder, given.parts)
        fresh = count(100)
        pages: dict[str, Callable[[int], tuple[str, str]]] = {
            "row": lambda at: (f"/base/part/gen-pickup-{at % pickups:05d}", f"gen-pickup-{at % pickups:05d}"),
            "new": lambda _: fit_page(next(fresh) % pickups),
            "kept": lambda at: fit_page(at % 20),
        }
        took: dict[str, list[float]] = {name: [] for name in pages}
        with serving(database, given.port):
            agree(database, given.port)
            for each in pages.values():
                at_once(given.port, each, 24)  # warm
            for _ in range(ROUNDS):
                for name, each in pages.items():
                    took[name] += at_once(given.port, each, given.requests // ROUNDS)
            alone = Client(given.port)
            one = {
                "row": [alone.get(*pages["row"](at)) for at in range(50)],
                "new": [alone.get(*pages["new"](at)) for at in range(50)],
                "kept": [alone.get(*pages["kept"](at)) for at in range(50)],
                "kind": [alone.get("/base/pickup", "gen-pickup-") for _ in range(50)],
                "part": [alone.get("/base/part", "aldine") for _ in range(50)],
            }
    row = percentile(took["row"], 0.99)
    labels = {"row": "Datasette's row page", "new": "will it fit, asked for the first time",
              "kept": "will it fit, asked for before"}  # fmt: skip
    rows = []
    for name, label in labels.items():
        worst = percentile(took[name], 0.99)
        wanted = ("", "", "") if name == "row" else (f"{worst / row:.2f}", f"at most {WANTED_ROW:.0f}",
                                                     held(WANTED_ROW, worst / row))  # fmt: skip
        rows.append((label, shown(median(took[name])), shown(worst), *wanted))
    title = f"{given.parts:,} parts, {CLIENTS} clients at once, {given.requests} requests of each page"
    table(title, ("page", "p50", "p99", "p99 : row page's", "wanted", ""), rows)
    rows = []
    for name, label in {**labels, "kind": "table page of a kind (pickup)", "part": "table page of all parts"}.items():
        middle = median(one[name])
        goal = name in ("kind", "part")
        wanted_words = ("under 50 ms", held(WANTED_TABLE, middle)) if goal else ("", "")
        rows.append((label, shown(middle), shown(percentile(one[name], 0.99)), *wanted_words))
    table("One client, 50 requests of each page", ("page", "p50", "p99", "wanted at p50", ""), rows)
    print(f"\n{machine(['datasette', 'uvicorn'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
