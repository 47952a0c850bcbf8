"""How long a catalogue takes to load, validated, against sqlite-utils inserting the raw rows of the same files.

    python -m tests.benchmarks.load [--parts 100000] [--rounds 3]

The parts are of four kinds, some seven fields each, written as one JSON array and as one CSV a kind. Ours is the whole
load: each record held against its model, units read, names of sources and instruments looked up, and then parts, tables
of kinds, dimensions, the search index and the history written in one transaction. The peer reads the same file with
the standard library and inserts what it says with `insert_all`, no checks, no index: as it stands (a transaction every
hundred rows), in one transaction, and with a full-text index of names after it. Each load runs in a process of its own,
whose most memory is told, beside that of a tenth of the parts.
"""

from __future__ import annotations

import argparse
import csv
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from statistics import median
from typing import Any

from kb.reading_files._csv import csv_text
from tests.benchmarks.catalogue import Writer
from tests.benchmarks.timing import held, machine, shown, table

KINDS = ("pickup", "pan_gasket", "pickup_seal", "windage_tray")
MAKERS = ("Aldine Castings", "Brightwater Fab", "Hob Lane Engineering")
LABELS = {
    "ours": "Matchmark, the whole load",
    "plain": "sqlite-utils, raw rows",
    "once": "sqlite-utils, raw rows in one transaction",
    "indexed": "the same with a full-text index",
}
WANTED = 4.0
GROWTH = 32.0  # MB more for ten times the parts that still count as none: caches that fill up to their bound


def records(count: int, seed: int) -> Iterator[dict[str, Any]]:
    """`count` records of parts without lists, the kinds in equal shares; the same for the same seed."""
    writer = Writer(seed)
    for kind in KINDS:
        for number in range(count // len(KINDS)):
            record: dict[str, Any] = {"kind": kind, "id": f"load-{kind.replace('_', '-')}-{number:06d}"}
            record.update(name=f"{kind.replace('_', ' ')} number {number}", maker=writer.pick(*MAKERS))
            getattr(writer, kind)(record)
            for name, value in record.items():
                if isinstance(value, dict):
                    spread = f" +/- {value['tolerance']}" if "tolerance" in value else ""
                    record[name] = value["value"] + spread
            record["known"] = {"how": writer.pick("drawing", "listing")}
            yield record


def write(folder: str, count: int, seed: int) -> tuple[str, str]:
    """The catalogue as a JSON file and as a folder of CSV files."""
    made = list(records(count, seed))
    one, several = os.path.join(folder, f"{count}.json"), os.path.join(folder, f"{count}-csv")
    with open(one, "w", encoding="utf-8") as file:
        json.dump(made, file, indent=1)
    os.mkdir(several)
    for kind in KINDS:
        text, left = csv_text(kind, [each for each in made if each["kind"] == kind])
        assert not left, "a record does not fit a table"
        with open(os.path.join(several, f"{kind}.csv"), "w", encoding="utf-8", newline="") as file:
            file.write(text)
    return one, several


# -- what is timed, each in a process of its own -------------------------------------------------------------------


def ours(database: str, source: str) -> None:
    from kb.store.load import load

    report = load(database, [source], by="benchmark")
    assert report.count("add")
    assert not report.faults


def insert(db: Any, source: str) -> None:
    """What the file says, as it is, by `insert_all`."""
    if source.endswith(".json"):
        with open(source, encoding="utf-8") as file:
            db.table("part").insert_all(json.load(file), pk="id", alter=True)
    else:
        for name in sorted(os.listdir(source)):
            with open(os.path.join(source, name), encoding="utf-8", newline="") as file:
                db.table(name.removesuffix(".csv")).insert_all(csv.DictReader(file), pk="id")


def plain(database: str, source: str) -> None:
    from sqlite_utils import Database

    db = Database(database)
    insert(db, source)
    db.close()


def once(database: str, source: str) -> None:
    from sqlite_utils import Database

    db = Database(database)
    with db.atomic():
        insert(db, source)
    db.close()


def indexed(database: str, source: str) -> None:
    from sqlite_utils import Database

    db = Database(database)
    with db.atomic():
        insert(db, source)
    for name in [each for each in db.table_names() if not each.startswith("sqlite_")]:
        db.table(name).enable_fts(["id", "name", "maker"])
    db.close()


WORK: dict[str, Callable[[str, str], None]] = {"ours": ours, "plain": plain, "once": once, "indexed": indexed}


def child(name: str, database: str, source: str) -> None:
    """Seconds, those of the processor, and the most memory (MB) of one load; imports are left out of the times."""
    import time

    import sqlite_utils  # noqa: F401 - imported before the clock runs

    import kb.store.load

    if name == "ours":
        kb.store.load.init(database)
    start, busy = time.perf_counter(), time.process_time()
    WORK[name](database, source)
    took = [time.perf_counter() - start, time.process_time() - busy]
    # What getrusage tells is no less than what the parent had when it made this process.
    with open("/proc/self/status", encoding="utf-8") as lines:
        most = next(int(line.split()[1]) for line in lines if line.startswith("VmHWM"))
    print(json.dumps([*took, most / 1024]))


def measured(name: str, folder: str, source: str) -> tuple[float, float, float]:
    database = os.path.join(folder, "made.db")
    if os.path.exists(database):
        os.remove(database)
    words = [sys.executable, "-m", "tests.benchmarks.load", "--child", name, database, source]
    said = subprocess.run(words, check=True, capture_output=True, text=True).stdout
    took, busy, most = json.loads(said)
    return took, busy, most


# -- tables --------------------------------------------------------------------------------------------------------


def agree(folder: str, one: str, several: str, count: int) -> None:
    """Both files hold the same parts, of which ours and the peer's tables have all."""
    import sqlite3

    found = []
    for name, source in (("ours", one), ("ours", several), ("plain", one)):
        measured(name, folder, source)
        con = sqlite3.connect(os.path.join(folder, "made.db"))
        found.append(con.execute("SELECT id, name, maker FROM part ORDER BY id").fetchall())
        if name == "ours":
            lengths = con.execute("SELECT part, path, value_si FROM dimension ORDER BY part, path").fetchall()
            found.append(lengths)
        con.close()
    assert found[0] == found[2] == found[4], "the parts differ"
    assert found[1] == found[3], "the dimensions differ"
    assert len(found[0]) == count // len(KINDS) * len(KINDS)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--parts", type=int, default=100_000)
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--child", nargs=3, metavar=("WORK", "DATABASE", "SOURCE"), help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.child:
        child(*given.child)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        few = write(folder, given.parts // 10, given.seed)
        many = write(folder, given.parts, given.seed)
        agree(folder, *few, given.parts // 10)
        for form, small, source in (("JSON", few[0], many[0]), ("CSV", few[1], many[1])):
            times: dict[str, list[float]] = {name: [] for name in WORK}
            busy: dict[str, list[float]] = {name: [] for name in WORK}
            most: dict[str, float] = {}
            for _ in range(given.rounds):
                for name in WORK:
                    took, worked, most[name] = measured(name, folder, source)
                    times[name].append(took)
                    busy[name].append(worked)
            before = {name: measured(name, folder, small)[2] for name in WORK}
            took_by = {name: median(each) for name, each in times.items()}
            busy_by = {name: median(each) for name, each in busy.items()}
            rows = []
            for name, label in LABELS.items():
                ratio = took_by["ours"] / took_by[name]
                wanted = (f"at most {WANTED:.0f}", held(WANTED, ratio)) if name in ("plain", "once") else ("", "")
                memory = f"{before[name]:.0f} and {most[name]:.0f} MB"
                worked = (shown(busy_by[name]), f"{busy_by['ours'] / busy_by[name]:.1f}")
                rows.append((label, shown(took_by[name]), f"{ratio:.1f}", *wanted, *worked, memory))
            head = (
                "",
                "time",
                "Matchmark : it",
                "wanted",
                "",
                f"most memory, {given.parts // 10:,} and {given.parts:,}",
            )
            table(f"{given.parts:,} parts from {form}, median of {given.rounds}", head, rows)
            grown = most["ours"] - before["ours"]
            print(
                f"\nMemory for ten times the parts: {grown:+.0f} MB, wanted at most {GROWTH:.0f}: {held(GROWTH, grown)}"
            )
    print(f"\n{machine(['sqlite-utils', 'pydantic'])}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
