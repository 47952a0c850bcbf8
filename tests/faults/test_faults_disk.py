"""Full disks, folders that may only be read, locks, and clocks that go back."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from kb.errors import StoreFault
from kb.store import backup, opening, read, write
from kb.store.dump import content_hash
from kb.store.load import load
from kb.store.write import write_record
from kb.web import queries
from tests.cli.running import Ran
from tests.faults.trouble import chained, locking, sound

Run = Callable[..., Ran]
PICKUP = {"kind": "pickup", "id": "new-tube", "name": "New tube"}


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 12 MB of its own."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=12m", "tmpfs", str(place)], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("no right to mount a disk here; tests/store/test_store_faults.py limits a file instead")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def test_a_full_disk_is_told_and_nothing_changes(disk: Path, base: str, tmp_path: Path) -> None:
    path = str(disk / "kb.db")
    shutil.copyfile(base, path)
    before = content_hash(path)
    copy = str(tmp_path / "copy.db")
    write_record(base, PICKUP, by="x", origin="test")
    backup.backup(base, copy)
    records = tmp_path / "big.json"
    many = [{"kind": "pickup", "id": f"p{n}", "name": f"Tube {n}", "notes": "x" * 19_000} for n in range(600)]
    records.write_text(json.dumps(many), encoding="utf-8")  # 11 MB, twice in the file: the disk holds it not
    with pytest.raises(StoreFault, match="the disk is full or failing, nothing was changed"):
        load(path, [records], by="x")
    sound(path)
    assert content_hash(path) == before
    left = os.statvfs(disk)
    (disk / "filler").write_bytes(b"x" * (left.f_bavail * left.f_frsize - 100_000))
    for attempt in (
        lambda: backup.backup(path, disk / "copy.db"),
        lambda: backup.restore(copy, path, over=True),
    ):
        with pytest.raises(StoreFault) as caught:
            attempt()
        assert "room" in caught.value.step
        assert sorted(os.listdir(disk)) == ["filler", "kb.db"]
        assert content_hash(path) == before


def test_a_disk_that_may_only_be_read_is_read(disk: Path, base: str, run: Run) -> None:
    path = str(disk / "kb.db")
    shutil.copyfile(base, path)
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)
    assert "Drover on trial" in run("check", "drover", "--db", path).out
    ran = run("reading", "drover", "pan.sump_depth=190mm", "--db", path)
    assert ran.status == 2
    assert "may only be read" in ran.err
    ran = run("backup", "--db", path)
    assert ran.status == 2
    assert "cannot be written" in ran.err
    assert run("backup", "--db", path, "--to", f"{disk}-copy.db").status == 0


@pytest.mark.parametrize(
    "words",
    [("reading", "drover", "pan.sump_depth=190mm"), ("check", "drover"), ("backup",), ("load", "more.json"),
     ("restore", "copy.db", "--over")],
    ids=lambda words: words[0],
)  # fmt: skip
def test_a_locked_base_is_waited_for_and_told(
    words: tuple[str, ...], base: str, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "more.json").write_text(json.dumps(PICKUP), encoding="utf-8")
    backup.backup(base, "copy.db")
    before = sorted(os.listdir(tmp_path))
    monkeypatch.setattr(opening, "WAIT_SECONDS", 0.2)
    with locking(base):
        ran = run(*words, "--db", base)
    assert ran.status == 2
    assert "another program is writing to it just now" in ran.err
    assert "wait until it is done" in ran.step
    assert sorted(os.listdir(tmp_path)) == before


def test_looking_at_a_base_does_not_unlock_what_another_thread_writes(base: str) -> None:
    """POSIX drops a process's locks on a file when it closes any descriptor of it; so none may be opened and closed."""
    other = (
        "import sqlite3, sys\ncon = sqlite3.connect(sys.argv[1], isolation_level=None, timeout=0)\n"
        "try:\n    con.execute('BEGIN IMMEDIATE')\nexcept sqlite3.OperationalError as error:\n    print(error)"
    )
    with closing(sqlite3.connect(base, isolation_level=None)) as con:
        con.execute("BEGIN IMMEDIATE")
        opening.look(base, writing=True)
        read.open_readonly(base).close()
        opening.heal(base)
        done = subprocess.run([sys.executable, "-c", other, base], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "database is locked"


def test_history_does_not_go_by_the_clock(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    times = iter(["2030-01-01T00:00:00Z", "2020-01-01T00:00:00Z", "2010-01-01T00:00:00Z"])
    monkeypatch.setattr(write, "now", lambda: next(times))
    for name in ("first", "second", "third"):
        write_record(base, {**PICKUP, "name": name}, by="x", origin="test")
    assert chained(base, "new-tube") == 3
    with closing(read.open_readonly(base)) as con:
        told = queries.history(con, "pickup", "new-tube")
        assert [each.changes for each in told] == [
            (("name", "second", "third"),), (("name", "first", "second"),), ()
        ]  # fmt: skip
        assert read.record(con, "pickup", "new-tube")["name"] == "third"
