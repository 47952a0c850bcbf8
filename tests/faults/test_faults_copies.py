"""Copies of a base in use, and putting them back."""

from __future__ import annotations

import os
import sqlite3
import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kb.errors import StoreFault
from kb.store import backup, opening, photos, schema
from kb.store.dump import content_hash
from kb.store.write import write_record
from tests.cli.running import Ran
from tests.faults.trouble import as_keeper, chained, old, sound
from tests.store.test_photos import PNG
from tests.web.test_web_serve import running

Run = Callable[..., Ran]
TUBE = {"kind": "pickup", "id": "new-tube", "name": "New tube"}


def test_a_copy_is_equal_and_holds_the_pictures(base: str, run: Run, tmp_path: Path) -> None:
    name = photos.put(base, PNG)
    clash = {"kind": "incompatibility", "id": "shown", "title": "Shown", "parties": [{"role": "pan", "part": "my-pan"}],
             "symptom": "It leaks", "found": "bench", "evidence": [{"text": "see", "photo": name}], "harm": ["leaks"],
             "milestone": "drive", "by": "Sam"}  # fmt: skip
    write_record(base, clash, by="x", origin="test")
    copy = str(tmp_path / "copy.db")
    ran = run("backup", "--db", base, "--to", copy)
    assert ran.status == 0
    assert "1 pictures" in ran.out
    assert content_hash(base)[:16] in ran.out
    sound(copy)
    assert content_hash(copy) == content_hash(base)
    assert photos.get(copy, name)[0] == photos.get(base, name)[0]
    ran = run("backup", "--db", base, "--to", copy)
    assert (ran.status, "exists already" in ran.err) == (2, True)
    assert run("backup", "--db", base).status == 0  # named by the time
    assert [each for each in os.listdir(tmp_path) if "making" in each] == []
    photos.remove(base, name)
    ran = run("backup", "--db", base, "--to", str(tmp_path / "other.db"))
    assert ran.status == 1
    assert f"not there, or damaged: 1 ({name[:12]})" in ran.out
    ran = run("restore", copy, "--db", base, "--over")
    assert "1 new pictures" in ran.out
    assert photos.there(base, name)


def test_a_restore_keeps_what_was_there_and_proves_the_copy(base: str, run: Run, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    backup.backup(base, copy)
    before = content_hash(base)
    write_record(base, TUBE, by="x", origin="test")
    changed = content_hash(base)
    ran = run("restore", copy, "--db", base)
    assert ran.status == 2
    assert "--over" in ran.step
    assert content_hash(base) == changed
    assert "the copy is as it was made" in run("restore", copy, "--db", base, "--over").out
    sound(base)
    assert content_hash(base) == before
    (kept,) = [each for each in os.listdir(tmp_path) if each.startswith("small.db.before-")]
    assert content_hash(tmp_path / kept) == changed
    elsewhere = str(tmp_path / "elsewhere.db")
    assert run("restore", copy, "--db", elsewhere).status == 0
    assert content_hash(elsewhere) == before
    assert run("restore", base, "--db", base, "--over").status == 2
    # One letter in one row of the copy: every page is well formed, and only the hash tells.
    with closing(sqlite3.connect(copy)) as con:
        con.execute("UPDATE part SET notes = 'x' WHERE id = 'my-pan'")
        con.commit()
    ran = run("restore", copy, "--db", base, "--over")
    assert ran.status == 2
    assert "is not as it was when this copy was made" in ran.err
    assert content_hash(base) == before


def test_what_pages_keep_of_answers_does_not_outlive_a_restore(base: str, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    backup.backup(base, copy)
    with running(base) as server:
        client = as_keeper(server)
        assert client.measure("my-pan", "182.1 mm", "too shallow")
        # 182.1 + 2 - 184 = 0.1 mm: hand sum of tests/web/small.py
        assert client.ask("GET", "/part/my-pan.json")[1].count("182.1 mm")
        backup.restore(copy, base, over=True, by="x")
        assert not client.ask("GET", "/part/my-pan.json")[1].count("182.1 mm")
        assert client.measure("my-pan", "183.3 mm", "anew")
        assert client.ask("GET", "/part/my-pan.json")[1].count("183.3 mm")
        assert client.ask("GET", "/base/history")[0] == 200
        assert server.stop()[2] == ""
    sound(base)
    assert chained(base, "my-pan") == 2


def test_a_copy_made_amid_writing_is_one_state(base: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_record(base, TUBE, by="x", origin="test")
    monkeypatch.setattr(backup, "STEP_PAGES", 20)  # many steps, and so many chances to be overtaken
    over = threading.Event()

    def write() -> None:
        number = 0
        while not over.is_set():
            write_record(base, {**TUBE, "name": f"Tube {number}"}, by="x", origin="test")
            number += 1

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(3):
            copy = str(tmp_path / f"copy{number}.db")
            made = backup.backup(base, copy)
            sound(copy)
            assert content_hash(copy) == made.hash
            assert chained(copy, "new-tube") >= 1
    finally:
        over.set()
        writer.join()


def test_a_damaged_base_is_set_aside_for_the_copy(base: str, run: Run, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    backup.backup(base, copy)
    hurt = bytearray(Path(base).read_bytes())
    hurt[4096:-4096] = b"\xa5" * (len(hurt) - 8192)
    Path(base).write_bytes(hurt)
    ran = run("backup", "--db", base)
    assert ran.status == 2
    assert "is damaged" in ran.err
    assert "matchmark rescue" in ran.step
    ran = run("restore", copy, "--db", base, "--over")
    assert ran.status == 0
    assert content_hash(base) == content_hash(copy)
    (kept,) = [each for each in os.listdir(tmp_path) if each.startswith("small.db.before-")]
    assert (tmp_path / kept).read_bytes() == hurt


def test_a_copy_of_an_older_version_is_made_and_comes_back_as_this_one(tmp_path: Path) -> None:
    path = old(1, tmp_path / "old.db")
    backup.backup(path, tmp_path / "copy.db")
    assert opening.look(str(tmp_path / "copy.db")) == 1
    back = str(tmp_path / "back.db")
    backup.restore(tmp_path / "copy.db", back)
    schema.migrate(path)
    assert content_hash(back) == content_hash(path)


def test_a_foreign_file_is_never_replaced(base: str, tmp_path: Path) -> None:
    backup.backup(base, tmp_path / "copy.db")
    foreign = tmp_path / "foreign.db"
    with closing(sqlite3.connect(foreign)) as con:
        con.execute("CREATE TABLE part (id)")
    before = foreign.read_bytes()
    with pytest.raises(StoreFault, match="of another program"):
        backup.restore(tmp_path / "copy.db", foreign, over=True)
    assert foreign.read_bytes() == before
    with pytest.raises(StoreFault, match="of another program"):
        backup.restore(foreign, base, over=True)
