"""Files that are no database of ours, full disks, killed writers, two writers: plain words, nothing lost."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest
from store_records import ALL, PICKUP

from kb.errors import StoreFault
from kb.records import KINDS
from kb.records._kind import length
from kb.store import opening, read, schema
from kb.store.dump import content_hash, dump
from kb.store.load import init, load, sample_folder
from kb.store.write import write_record


@pytest.fixture
def base(tmp_path: Path) -> str:
    path = tmp_path / "kb.db"
    init(path)
    records = tmp_path / "records.json"
    records.write_text(json.dumps(ALL))
    load(path, [records], by="tester")
    return str(path)


def big(folder: Path, count: int = 700) -> Path:
    """Records of some 14 MB: more than SQLite keeps in memory, so that a load writes before it commits."""
    path = folder / "big.json"
    path.write_text(json.dumps([{**PICKUP, "id": f"p{n}", "notes": "x" * 19_000} for n in range(count)]))
    return path


def refused(call: Any, message: str, place: str = "") -> None:
    with pytest.raises(StoreFault) as caught:
        call()
    assert message in str(caught.value)
    assert caught.value.step
    assert place in caught.value.place


def test_init_makes_a_database_and_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "new.db"
    init(path)
    assert opening.look(str(path)) == opening.VERSION
    before = path.read_bytes()
    refused(lambda: init(path), "exists already", str(path))
    assert path.read_bytes() == before
    refused(lambda: init(tmp_path / "none" / "x.db"), "there is no such folder")
    (tmp_path / "folder").mkdir()
    refused(lambda: init(tmp_path / "folder"), "exists already")
    assert sorted(os.listdir(tmp_path)) == ["folder", "new.db"]


def test_init_that_fails_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(db: Any) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(schema, "bring_up", broken)
    refused(lambda: init(tmp_path / "new.db"), "the disk is full", str(tmp_path / "new.db"))
    assert os.listdir(tmp_path) == []


def test_the_sample_is_found(tmp_path: Path) -> None:
    assert os.path.basename(os.path.dirname(sample_folder())) in ("sample", "sample_db")
    assert "pan" in os.listdir(sample_folder())


def test_paths_with_marks_of_uris(tmp_path: Path) -> None:
    path = tmp_path / "100%25 a?b#c.db"
    init(path)
    con = read.open_readonly(path)
    assert read.ids(con) == []
    con.close()
    assert os.listdir(tmp_path) == [path.name]


@pytest.mark.parametrize("writing", [False, True])
def test_files_that_are_no_database_of_ours(tmp_path: Path, base: str, writing: bool) -> None:
    def use(path: Path | str) -> Any:
        return (lambda: load(path, [], by="x")) if writing else (lambda: read.open_readonly(path))

    refused(use(tmp_path / "none.db"), "there is no such database", "none.db")
    refused(use(tmp_path), "is a folder")
    (tmp_path / "empty.db").touch()
    refused(use(tmp_path / "empty.db"), "is an empty file")
    (tmp_path / "text.db").write_text("kind: pan\n" * 50)
    refused(use(tmp_path / "text.db"), "is not a database")
    (tmp_path / "short.db").write_bytes(Path(base).read_bytes()[:60])
    refused(use(tmp_path / "short.db"), "is cut off")
    (tmp_path / "cut.db").write_bytes(Path(base).read_bytes()[:-5000])
    refused(use(tmp_path / "cut.db"), "is cut off")
    other = sqlite3.connect(tmp_path / "foreign.db")
    other.execute("CREATE TABLE part (id)")
    other.commit()
    other.close()
    refused(use(tmp_path / "foreign.db"), "is a database of another program")
    assert (tmp_path / "text.db").read_text().startswith("kind: pan")
    os.mkfifo(tmp_path / "pipe.db")
    refused(use(tmp_path / "pipe.db"), "is no plain file")


def test_a_damaged_file_is_told_in_words(base: str) -> None:
    size = os.path.getsize(base)
    with open(base, "r+b") as file:
        file.seek(4096)
        file.write(os.urandom(size - 8192))
    con = read.open_readonly(base)
    refused(lambda: read.parts(con, ["deep-pan"]), "is damaged", "kb.db")
    con.close()


def test_a_record_that_is_no_json_is_told_in_words(base: str) -> None:
    con = sqlite3.connect(base)
    con.execute("UPDATE part SET facts = '{' WHERE id = 'deep-pan'")
    con.commit()
    con.close()
    ours = read.open_readonly(base)
    refused(lambda: read.part(ours, "deep-pan"), "holds a record that cannot be read")
    ours.close()


def test_a_newer_database_is_refused_both_ways(base: str) -> None:
    con = sqlite3.connect(base)
    con.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    con.close()
    refused(lambda: read.open_readonly(base), "is of a newer version")
    refused(lambda: load(base, [], by="x"), "is of a newer version")


def older(monkeypatch: pytest.MonkeyPatch, step: Any) -> None:
    """Let the program be one version ahead of the databases made so far."""
    steps = type(schema.STEPS)("matchmark")
    steps._migrations = [*schema.STEPS._migrations]
    ahead = opening.VERSION + 1
    steps(name=f"step_{ahead}")(step)
    monkeypatch.setattr(schema, "STEPS", steps)
    for module in (schema, opening, read):
        monkeypatch.setattr(module, "VERSION", ahead)


def test_an_older_database_is_brought_up_by_the_next_write(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content_hash(base)
    older(monkeypatch, lambda db: db.table("part").add_column("shelf", str))
    refused(lambda: read.open_readonly(base), "is of an older version")
    schema.migrate(base)
    con = read.open_readonly(base)
    assert con.rows("SELECT shelf FROM part WHERE id = 'deep-pan'") == [(None,)]
    assert read.part(con, "my-pan").facts["sump_depth"].value > 0
    con.close()
    assert content_hash(base) != before  # a column more
    load(base, [], by="x")


def test_a_migration_that_fails_changes_nothing(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(db: Any) -> None:
        db.table("part").add_column("shelf", str)
        db.execute("INSERT INTO nothing VALUES (1)")

    before = content_hash(base)
    with monkeypatch.context() as patch:
        older(patch, breaks)
        with pytest.raises(StoreFault):
            schema.migrate(base)
    assert content_hash(base) == before


def test_a_new_feature_of_a_kind_needs_no_migration(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    lip = length("height of the lip", plausible=(0, 10))
    lip.__set_name__(KINDS["pan"], "lip")
    monkeypatch.setitem(KINDS["pan"].features, "lip", lip)
    schema.migrate(base)
    con = read.open_readonly(base)
    assert con.rows("SELECT sump_depth_mm, lip_mm FROM pan WHERE id = 'deep-pan'") == [(190.0, None)]
    assert con.rows("SELECT count(*) FROM history") == [(len(ALL),)]
    con.close()


def test_a_read_only_file_is_read_but_not_written(base: str) -> None:
    before = content_hash(base)
    os.chmod(base, 0o444)
    refused(lambda: load(base, [], by="x"), "may only be read")
    refused(lambda: write_record(base, PICKUP, by="x", origin="form"), "may only be read")
    assert content_hash(base) == before
    con = read.open_readonly(base)
    with pytest.raises(sqlite3.OperationalError):
        con.execute("DELETE FROM part")
    con.close()


def test_two_writers_wait_for_each_other_then_say_so(base: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "WAIT_SECONDS", 0.1)
    first = sqlite3.connect(base, isolation_level=None, check_same_thread=False)
    first.execute("BEGIN IMMEDIATE")
    refused(lambda: write_record(base, {**PICKUP, "id": "new"}, by="x", origin="form"), "another program is writing")
    monkeypatch.setattr(opening, "WAIT_SECONDS", 10.0)
    later = threading.Timer(0.3, lambda: first.execute("ROLLBACK"))
    later.start()
    assert write_record(base, {**PICKUP, "id": "new"}, by="x", origin="form").action == "add"
    later.join()
    first.close()


def test_readers_and_writers_at_once(base: str) -> None:
    errors: list[BaseException] = []

    def write(number: int) -> None:
        try:
            for turn in range(5):
                write_record(base, {**PICKUP, "id": f"w{number}-{turn}"}, by=f"w{number}", origin="form")
        except BaseException as error:
            errors.append(error)

    def look() -> None:
        try:
            for _ in range(20):
                con = read.open_readonly(base)
                read.parts(con, ["my-pan", "long-pickup"])
                con.close()
        except BaseException as error:
            errors.append(error)

    threads = [threading.Thread(target=write, args=(n,)) for n in range(3)] + [threading.Thread(target=look)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
    con = read.open_readonly(base)
    assert len([id for id in read.ids(con, "pickup") if id.startswith("w")]) == 15
    con.close()


def test_a_full_disk_leaves_the_database_as_it_was(base: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = content_hash(base)
    real = opening.connect

    def small(path: str, *, writing: bool = False) -> opening.Connection:
        con = real(path, writing=writing)
        pages = con.execute("PRAGMA page_count").fetchone()[0]
        con.execute(f"PRAGMA max_page_count = {pages + 100}")  # SQLite then says what it says of a full disk
        return con

    monkeypatch.setattr(schema, "connect", small)
    refused(lambda: load(base, [big(tmp_path)], by="x"), "the disk is full", "kb.db")
    assert content_hash(base) == before


LIMITED = """
import resource, sys
from kb.errors import StoreFault
from kb.store.load import load
size = int(sys.argv[3])
resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
try:
    load(sys.argv[1], [sys.argv[2]], by="x")
except StoreFault as fault:
    print(fault)
"""


def test_a_file_that_may_not_grow_leaves_the_database_as_it_was(base: str, tmp_path: Path) -> None:
    before = content_hash(base)
    limit = os.path.getsize(base) + 500_000
    arguments = [sys.executable, "-c", LIMITED, base, str(big(tmp_path)), str(limit)]
    done = subprocess.run(arguments, capture_output=True, text=True, check=False)
    assert "the disk is full or failing, nothing was changed" in done.stdout, done.stderr
    assert "Traceback" not in done.stderr
    assert content_hash(base) == before


KILLED = """
import sys, time
from kb.store.load import load
def step(what, done, total):
    if what == "writing":
        print("writing", flush=True)
        time.sleep(60)
load(sys.argv[1], [sys.argv[2]], by="x", progress=step)
"""


def test_a_kill_in_the_middle_of_a_load_leaves_the_database_as_it_was(base: str, tmp_path: Path) -> None:
    before = content_hash(base)
    size = os.path.getsize(base)
    arguments = [sys.executable, "-c", KILLED, base, str(big(tmp_path))]
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline().strip() == "writing"
        process.send_signal(signal.SIGKILL)
        process.wait()
    assert os.path.getsize(base) > size, "the load had not written anything yet: the test proves nothing"
    assert os.path.exists(f"{base}-journal")
    saved = tmp_path / "other"
    saved.mkdir()
    for name in (base, f"{base}-journal"):
        shutil.copy(name, saved)
    assert content_hash(base) == before  # a reader alone sets it right
    copy = str(saved / "kb.db")
    assert load(copy, [], by="x").changes == []  # and so does a writer
    assert content_hash(copy) == before


def test_an_interrupted_load_leaves_the_database_as_it_was(base: str, tmp_path: Path) -> None:
    def stop(what: str, done: int, total: int) -> None:
        if what == "writing":
            raise KeyboardInterrupt

    before = content_hash(base)
    with pytest.raises(KeyboardInterrupt):
        load(base, [big(tmp_path)], by="x", progress=stop)
    assert content_hash(base) == before
    assert write_record(base, {**PICKUP, "id": "after"}, by="x", origin="form").action == "add"


def test_a_dump_that_cannot_be_written_says_so(base: str, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    refused(lambda: dump(base, tmp_path / "file"), "is no folder")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "pan").write_text("in the way")
    refused(lambda: dump(base, tmp_path / "out", replace=True), "cannot be written")
