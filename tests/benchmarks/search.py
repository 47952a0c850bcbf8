"""The count and the cheapest twenty of pan + pickup + gasket + ring for one block and car, against other engines.

    python -m tests.benchmarks.search [--parts N] [--rounds N] [--seeds 1 2 3] [--plain] [--growth] [--cold]

The catalogue is that of `tests.benchmarks.search_catalogue`: exact parts, so that all can state the same decision. At a
size of 60 every engine is compared with every combination judged one by one; at each greater size counts and rows, in
their order, are compared before anything is timed. Rounds are interleaved, medians are printed.

--plain: the plain queries too, once each. --growth: ten, a hundred, a thousand times as many parts, each in a process
of its own, with what memory it takes beyond the catalogue. --cold: from a file on disk to the count, a process a run.
"""

from __future__ import annotations

import argparse
import ctypes
import json
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from itertools import product
from typing import Any

from kb.base import Base
from kb.build import Build, applies
from kb.chance import FITS, NOT, Settings
from kb.judge import judge
from kb.rules import askable
from kb.search.counting import Factored
from kb.store.load import init, load
from tests.benchmarks.search_catalogue import ROLES, Catalogue, fixed
from tests.benchmarks.search_peers import TAKE, DuckDB, Polars, SQLite
from tests.search.brute import read_by

Work = Callable[[], Any]
LIMIT_S = 90  # for a plain query


def ours(domains: Any, build: Build) -> tuple[Work, Work]:
    def count() -> int:
        return Factored(domains, build, Settings(), fits_only=True).counts().fitting

    def top() -> Any:
        return Factored(domains, build, Settings(), fits_only=True).cheapest(TAKE)

    return count, top


def priced(made: Catalogue, found: Any) -> list[tuple[int, ...]]:
    """Cents and numbers of the parts, as the other engines give them."""
    return [
        (sum(int(getattr(made, kind)["price"][at]) for kind, at in zip(ROLES, row, strict=True)), *row) for row in found
    ]


def oracle(made: Catalogue, build: Build) -> tuple[int, list[tuple[int, ...]]]:
    """Every combination, every rule innermost; what the judge said of the parts that a rule reads is remembered."""
    parts = {kind: [each.part for each in made.candidates(kind)] for kind in ROLES}
    rules = [rule for rule in askable({*build.parts, *ROLES})[0] if read_by(rule) & set(ROLES)]
    reads = [[at for at, kind in enumerate(ROLES) if kind in read_by(rule)] for rule in rules]
    told: list[dict[tuple[int, ...], int]] = [{} for _ in rules]
    found = []
    for cell in product(*(range(made.sizes[kind]) for kind in ROLES)):
        asked = False
        for rule, read, memo in zip(rules, reads, told, strict=True):
            key = tuple(cell[at] for at in read)
            code = memo.get(key)
            if code is None:
                whole = {**build.parts, **{kind: parts[kind][at] for kind, at in zip(ROLES, cell, strict=True)}}
                view = build._replace(parts=whole)  # type: ignore[arg-type]
                verdict = "" if applies(rule, view) else judge(rule, view, Settings()).verdict
                code = memo[key] = {"": 0, FITS: 1, NOT: 3}.get(verdict, 2)
            asked |= code == 1
            if code > 1:
                break
        else:
            if asked:
                found.append(cell)
    rows = priced(made, found)

    def key_of(row: tuple[int, ...]) -> tuple[Any, ...]:
        prices = [int(getattr(made, kind)["price"][at]) for kind, at in zip(ROLES, row[1:], strict=True)]
        return row[0], *(each for pair in zip(prices, row[1:], strict=True) for each in pair)

    return len(found), sorted(rows, key=key_of)[:TAKE]


def compared(made: Catalogue, build: Build, *, plain: bool = False) -> tuple[dict[str, Work], dict[str, Work]]:
    """What is timed, the answers of all compared first: SystemExit where two differ."""
    count, top = ours(made.domains(), build)
    duck, polars, lite = DuckDB(made), Polars(made), SQLite(made)
    counts: dict[str, Work] = {
        "matchmark": count, "DuckDB factored": duck.factored_count, "polars factored": polars.factored_count,
        "SQLite factored": lite.factored_count, "DuckDB running sums": duck.prefix_count,
        "polars running sums": polars.prefix_count, "SQLite running sums": lite.prefix_count,
    }  # fmt: skip
    tops: dict[str, Work] = {
        "matchmark": top, "DuckDB factored": duck.factored_top, "polars factored": polars.factored_top,
        "SQLite factored": lite.factored_top,
    }  # fmt: skip
    if plain:
        counts |= {
            "DuckDB plain, by a range": duck.ranged_count,
            "DuckDB plain": duck.plain_count,
            "polars plain": polars.plain_count,
            "SQLite plain": lite.plain_count,
        }
        tops |= {"DuckDB plain": duck.plain_top, "SQLite plain": lite.plain_top}
    told = {name: work() for name, work in counts.items()}
    if len(set(told.values())) > 1:
        raise SystemExit(f"counts differ, nothing is timed: {told}")
    rows = {name: work() if name != "matchmark" else priced(made, work()) for name, work in tops.items()}
    if any(each != rows["matchmark"] for each in rows.values()):
        raise SystemExit(f"the cheapest differ, nothing is timed: {rows}")
    return counts, tops


def timed(work: Mapping[str, Work], rounds: int) -> dict[str, list[float]]:
    """Milliseconds of each, taken in turn."""
    took: dict[str, list[float]] = {name: [] for name in work}
    for _ in range(rounds):
        for name, piece in work.items():
            start = time.perf_counter()
            piece()
            took[name].append(1000 * (time.perf_counter() - start))
    return took


def shown(title: str, took: Mapping[str, list[float]]) -> None:
    own = statistics.median(took["matchmark"])
    print(f"\n{title:44} median ms     least      most   x matchmark")
    for name, each in took.items():
        middle = statistics.median(each)
        print(f"{name:44} {middle:9.1f} {min(each):9.1f} {max(each):9.1f} {middle / own:13.1f}")


def plain_once(parts: int) -> None:
    """Each plain query in a process of its own, given up after a while."""
    print(f"\nplain, once, {parts:,} x {parts:,} x 50 x 20          s")
    for name in (
        "DuckDB.ranged_count",
        "DuckDB.plain_count",
        "DuckDB.plain_top",
        "SQLite.plain_count",
        "SQLite.plain_top",
    ):
        engine, work = name.split(".")
        code = (
            "import time; from tests.benchmarks.search_catalogue import Catalogue; "
            f"from tests.benchmarks import search_peers; peer = search_peers.{engine}(Catalogue(1, {parts}, {parts})); "
            f"start = time.perf_counter(); peer.{work}(); print(time.perf_counter() - start)"
        )
        try:
            done = subprocess.run(
                [sys.executable, "-c", code], capture_output=True, text=True, timeout=LIMIT_S, check=True
            )
            print(f"{name:42} {float(done.stdout):8.2f}", flush=True)
        except subprocess.TimeoutExpired:
            print(f"{name:42} > {LIMIT_S:6}", flush=True)


def one_size(parts: int, rounds: int, database: str) -> None:
    """Time and memory at one size; run in a process of its own. Prints JSON."""
    import gc

    with Base(database) as base:
        build = fixed(base)
    small = ours(Catalogue(2, 100, 100).domains(), build)
    small[0]()
    small[1]()
    domains = Catalogue(1, parts, parts).domains()
    count, top = ours(domains, build)
    gc.collect()
    with open("/proc/self/clear_refs", "w", encoding="ascii") as file:
        file.write("5")  # the peak is counted from here
    ctypes.CDLL(None).malloc_trim(0)  # what making the catalogue left behind is no room for the search
    before = _status("VmRSS")
    told, took = [], {"count": [], "top": []}  # type: ignore[var-annotated]
    peaks = {}
    for name, work in (("count", count), ("top", top)):
        for _ in range(rounds):
            start = time.perf_counter()
            told.append(work())
            took[name].append(1000 * (time.perf_counter() - start))
        peaks[name] = (_status("VmHWM") - before) / 1024
    middle = {name: statistics.median(each) for name, each in took.items()}
    first = {name: each[0] for name, each in took.items()}
    print(json.dumps({"fitting": told[0], "ms": middle, "first": first, "mb": peaks, "catalogue_mb": before / 1024}))


def _status(name: str) -> int:
    with open("/proc/self/status", encoding="ascii") as file:
        return next(int(line.split()[1]) for line in file if line.startswith(name))


def growth(database: str, rounds: int) -> None:
    print("\npans = pickups       fitting      count ms    x     top 20 ms    x   MB beyond the catalogue: count, both")
    last: dict[str, float] = {}
    for parts in (1_000, 10_000, 100_000, 1_000_000):
        code = f"from tests.benchmarks.search import one_size; one_size({parts}, {rounds}, {database!r})"
        done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
        told = json.loads(done.stdout)
        ms = told["ms"]
        times = {name: f"{ms[name] / last[name]:5.1f}" if last else "     " for name in ms}
        last = ms
        print(
            f"{parts:14,} {told['fitting']:15,} {ms['count']:11.1f} {times['count']} {ms['top']:12.1f} {times['top']}"
            f" {told['mb']['count']:12.0f} {told['mb']['top']:6.0f}", flush=True,
        )  # fmt: skip


def cold(folder: str, rounds: int) -> None:
    print("\ncold process, file to count      matchmark ms   SQLite factored ms   ratio   bare Python ms")
    for parts in (1_000, 10_000):
        made = Catalogue(1, parts, parts)
        own, other = os.path.join(folder, f"own-{parts}.db"), os.path.join(folder, f"plain-{parts}.db")
        init(own, sample=True)
        for kind in ROLES:
            records = list(made.records(kind))
            for start in range(0, len(records), 2_000):  # a file may have 16 MB
                name = os.path.join(folder, f"{kind}-{start}.json")
                with open(name, "w", encoding="utf-8") as file:
                    json.dump(records[start : start + 2_000], file)
                load(own, [name], by="benchmark")
        SQLite(made, other).con.close()
        commands = {
            "own": ["-m", "tests.benchmarks.search_cold", own],
            "peer": ["-m", "tests.benchmarks.search_cold", "--sqlite", other],
            "bare": ["-c", "pass"],
        }
        took: dict[str, list[float]] = {name: [] for name in commands}
        told = {}
        for _ in range(rounds):
            for name, words in commands.items():
                start_s = time.perf_counter()
                done = subprocess.run([sys.executable, *words], capture_output=True, text=True, check=True)
                took[name].append(1000 * (time.perf_counter() - start_s))
                told[name] = done.stdout
        if told["own"] != told["peer"]:
            raise SystemExit(f"cold counts differ: {told}")
        middle = {name: statistics.median(each) for name, each in took.items()}
        print(
            f"{parts:8,} pans, {int(told['own']):13,} fit {middle['own']:13.0f} {middle['peer']:18.0f}"
            f" {middle['peer'] / middle['own']:11.2f} {middle['bare']:12.0f}", flush=True,
        )  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.search", description=__doc__)
    parser.add_argument("--parts", type=int, nargs="*", default=[1_000, 10_000])
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--plain", action="store_true")
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--cold", action="store_true")
    given = parser.parse_args()
    print(f"{platform.platform()}, Python {platform.python_version()}, {os.cpu_count()} cores")
    with tempfile.TemporaryDirectory() as folder:
        database = os.path.join(folder, "sample.db")
        init(database, sample=True)
        with Base(database) as base:
            build = fixed(base)
        small = Catalogue(given.seeds[0], 60, 60, 10, 8)
        want = oracle(small, build)
        counts, tops = compared(small, build, plain=True)
        if (counts["matchmark"](), priced(small, tops["matchmark"]())) != want:
            raise SystemExit("the judge says otherwise, nothing is timed")
        print(f"60 x 60 x 10 x 8: all engines say what the judge says of each of 288,000: {want[0]:,} fit")
        for parts in given.parts:
            for seed in given.seeds:
                made = Catalogue(seed, parts, parts)
                counts, tops = compared(made, build)
                fit = counts["matchmark"]()
                shown(f"count, {parts:,}^2 x 50 x 20, seed {seed}: {fit:,}", timed(counts, given.rounds))
                shown(f"cheapest {TAKE}, {parts:,}^2 x 50 x 20, seed {seed}", timed(tops, given.rounds))
        if given.plain:
            plain_once(1_000)
            plain_once(10_000)
        if given.growth:
            growth(database, 3)
        if given.cold:
            cold(folder, given.rounds)


if __name__ == "__main__":
    main()
