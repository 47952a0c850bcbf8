"""A damaged base told apart from an empty, a foreign and a newer one; what can be saved is saved, the rest is told."""

from __future__ import annotations

import json
import os
import random
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kb.store import carving, opening
from kb.store.dump import content_hash
from kb.store.rescue import rescue
from kb.store.write import remove, write_record
from tests.cli.running import Ran
from tests.faults.trouble import rounds, sound

Run = Callable[..., Ran]
PAGE = 4096  # bytes of a page: SQLite's default since 2016
TUBE = {"kind": "pickup", "id": "new-tube", "name": "New tube"}


def pages(path: str, of: str) -> list[int]:
    """The pages that a table or index is made of."""
    with closing(sqlite3.connect(path)) as con:
        try:
            return [row[0] for row in con.execute("SELECT pageno FROM dbstat WHERE name = ?", [of])]
        except sqlite3.OperationalError:
            pytest.skip("this SQLite does not tell pages (dbstat)")


def scribble(path: str, numbers: list[int], seed: int = 1) -> None:
    noise = random.Random(seed)
    with open(path, "r+b") as file:
        for number in numbers:
            file.seek((number - 1) * PAGE)
            file.write(noise.randbytes(PAGE))


@pytest.fixture
def large(base: str) -> str:
    """A base of some changes: more than one page for every table that matters."""
    for number in range(40):
        write_record(base, {**TUBE, "id": f"tube-{number}", "notes": "n" * 300}, by="x", origin="test")
    write_record(base, {**TUBE, "id": "long-notes", "notes": "long " * 3000}, by="x", origin="test")
    for name in ("first", "second"):
        write_record(base, {**TUBE, "id": "tube-3", "name": name}, by="x", origin="test")
    remove(base, "pickup", "tube-5", by="x")
    return base


def test_what_is_no_damaged_base_is_told(base: str, run: Run, tmp_path: Path) -> None:
    to = str(tmp_path / "to.db")
    (tmp_path / "empty.db").touch()
    (tmp_path / "text.db").write_text("kind: pan\n" * 900, encoding="utf-8")
    with closing(sqlite3.connect(tmp_path / "foreign.db")) as con:
        con.execute("CREATE TABLE part (id)")
    for name, message in (
        ("none.db", "there is no such database"), ("empty.db", "is an empty file"), (".", "is a folder"),
        ("foreign.db", "is a database of another program"),
        ("text.db", "is not a database, and nothing in it can be read"),
    ):  # fmt: skip
        ran = run("rescue", str(tmp_path / name), "--to", to)
        assert ran.status == 2
        assert message in ran.err
        assert not os.path.exists(to)
    ran = run("rescue", base, "--to", base)
    assert (ran.status, "exists already" in ran.err) == (2, True)
    with closing(sqlite3.connect(base)) as con:
        con.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    ran = run("rescue", base, "--to", to)
    assert (ran.status, "is of a newer version" in ran.err) == (2, True)
    assert sorted(os.listdir(tmp_path)) == ["empty.db", "foreign.db", "small.db", "text.db"]


def test_a_whole_base_comes_out_equal(large: str, run: Run, tmp_path: Path) -> None:
    to = str(tmp_path / "to.db")
    ran = run("rescue", large, "--to", to)
    assert ran.status == 0
    assert "nothing was lost" in ran.out
    assert content_hash(to) == content_hash(large)
    with closing(sqlite3.connect(large)) as old, closing(sqlite3.connect(to)) as new:
        for sql in ("SELECT * FROM history ORDER BY id", "SELECT id, revision, updated FROM part ORDER BY id"):
            assert new.execute(sql).fetchall() == old.execute(sql).fetchall()


@pytest.mark.parametrize("what", ["sqlite_schema", "part", "history", "dimension", "build"])
def test_the_loss_of_one_table_loses_no_record(what: str, large: str, tmp_path: Path) -> None:
    before = content_hash(large)
    # Page 1 holds the head of the file and the beginning of its list of tables.
    scribble(large, [1] if what == "sqlite_schema" else pages(large, what))
    found = rescue(large, tmp_path / "to.db", by="x")
    assert found.lost[0].why in ("is damaged", "its head is damaged")
    assert len(found.lost) == 1
    sound(found.file)
    assert content_hash(found.file) == before


def test_what_was_lost_is_told_and_what_can_be_read_of_it_is_kept(large: str, run: Run, tmp_path: Path) -> None:
    with closing(sqlite3.connect(large)) as con:
        con.execute("DELETE FROM history WHERE record IN ('short-tube', 'long-tube', 'tube-3')")
        con.execute("PRAGMA foreign_keys = OFF")
        con.execute("DELETE FROM part WHERE id = 'short-tube'")
        con.execute("UPDATE part SET record = json_set(record, '$.hang', 'long') WHERE id = 'long-tube'")
        con.commit()
    ran = run("rescue", large, "--to", str(tmp_path / "to.db"), "--db", large)
    assert ran.status == 1
    assert "build drover: saved without what is lost: there is no pickup named 'short-tube'" in ran.out
    assert "pickup long-tube: no state of it is good" in ran.out
    sound(str(tmp_path / "to.db"))
    left = json.loads((tmp_path / "to.db.left-out.json").read_text(encoding="utf-8"))
    assert {each["id"] for each in left} == {"long-tube", "drover"}
    with closing(sqlite3.connect(tmp_path / "to.db")) as con:
        roles = [row[0] for row in con.execute("SELECT role FROM build_role WHERE build = 'drover' ORDER BY role")]
        assert roles == ["pan", "pan_gasket"]
        told = con.execute("SELECT action, origin FROM history WHERE record = 'tube-3'").fetchall()
        assert told == [("add", "rescue small.db")]


def test_any_pages_may_be_gone(large: str, tmp_path: Path) -> None:
    whole = Path(large).read_bytes()
    with closing(sqlite3.connect(large)) as con:
        records = {row[0] for row in con.execute("SELECT record FROM part")}
    noise = random.Random(7)
    saved = 0
    for number in range(rounds(8)):
        path = tmp_path / f"hurt{number}.db"
        path.write_bytes(whole)
        count = len(whole) // PAGE
        scribble(str(path), noise.sample(range(1, count + 1), noise.choice([1, 5, count // 10, count // 3])), number)
        found = rescue(path, tmp_path / f"to{number}.db")  # noise never looks like a head that names another version
        sound(found.file)
        with closing(sqlite3.connect(found.file)) as con:
            texts = {row[0] for row in con.execute("SELECT record FROM part")}
            assert con.execute("SELECT count(*) FROM part WHERE id = 'tube-5'").fetchone() in ((0,), (1,))
        for text in texts - records:  # an earlier state, or without what it was based on: never something new
            assert json.loads(text)["id"] in {json.loads(each)["id"] for each in records} | {"tube-5"}
        saved += len(texts)
    assert saved > 20 * rounds(8)  # of 48 parts each


def test_rows_are_read_off_pages_as_sqlite_reads_them(tmp_path: Path) -> None:
    noise = random.Random(5)
    for size, head in ((512, True), (1024, False), (4096, True), (4096, False), (65536, True)):
        path = tmp_path / f"{size}-{head}.db"
        with closing(sqlite3.connect(path)) as con:
            con.execute(f"PRAGMA page_size = {size}")
            con.execute("CREATE TABLE t (a, b, c, d)")
            given = [
                (noise.choice([None, 0, 1, -5, 70_000, 2**40, -(2**62)]), noise.uniform(-1, 1), "é" * noise.choice(
                    [0, 9, 400, 450, 2040, 9000]), noise.randbytes(noise.choice([0, 3, 600]))) for _ in range(300)
            ]  # fmt: skip
            con.executemany("INSERT INTO t VALUES (?, ?, ?, ?)", given)
            con.commit()
        data = path.read_bytes()
        if not head:
            data = noise.randbytes(size) + data[size:]
        rows = [each for each in carving.rows(data) if len(each.values) == 4]
        assert carving.page_size(data) == size
        assert sorted(each.number for each in rows) == [*range(1, 301)]
        assert [each.values for each in sorted(rows)] == given


def test_no_bytes_break_the_reading_of_pages(large: str) -> None:
    noise = random.Random(9)
    whole = Path(large).read_bytes()[: 60 * PAGE]
    for _ in range(rounds(20)):
        data = bytearray(whole)
        for _ in range(2000):
            data[noise.randrange(len(data))] = noise.randrange(256)
        assert all(isinstance(each.values, tuple) for each in carving.rows(bytes(data)))
