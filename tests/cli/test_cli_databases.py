"""Database files that are none, or not ours, or hurt; loading and dumping through the command."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.store.dump import content_hash
from tests.cli.running import COMMAND, PATIENCE, TOP, Ran, environment, process

Run = Callable[..., Ran]
PAN = {"kind": "pan", "id": "new-pan", "name": "a new pan", "based_on": "calder-38-pan"}


def empty(path: Path, sample: str) -> None:
    path.write_bytes(b"")


def missing(path: Path, sample: str) -> None:
    pass


def folder(path: Path, sample: str) -> None:
    path.mkdir()


def text(path: Path, sample: str) -> None:
    path.write_text("kind: pan\n" * 100, encoding="utf-8")


def foreign(path: Path, sample: str) -> None:
    con = sqlite3.connect(path)
    con.execute("CREATE TABLE part (id)")
    con.commit()
    con.close()


def newer(path: Path, sample: str) -> None:
    shutil.copyfile(sample, path)
    con = sqlite3.connect(path)
    con.execute("PRAGMA user_version = 999")
    con.commit()
    con.close()


def truncated(path: Path, sample: str) -> None:
    whole = Path(sample).read_bytes()
    path.write_bytes(whole[: len(whole) // 2])


def beheaded(path: Path, sample: str) -> None:
    path.write_bytes(Path(sample).read_bytes()[:60])


def scribbled(path: Path, sample: str) -> None:
    whole = bytearray(Path(sample).read_bytes())
    whole[4096:-4096] = b"\xa5" * (len(whole) - 8192)
    path.write_bytes(whole)


HURT = [
    (missing, "there is no such database", "--sample"),
    (empty, "is an empty file", "remove it"),
    (folder, "is a folder", "name the database file"),
    (text, "is not a database", "name another file"),
    (foreign, "is a database of another program", "name another file"),
    (newer, "is of a newer version (999)", "update matchmark"),
    (truncated, "is cut off", "last copy"),
    (beheaded, "is cut off", "last copy"),
    (scribbled, "", "copy"),
]


@pytest.mark.parametrize(
    "words",
    [
        ("check", "drover"), ("incompat", "list"), ("incompat", "show", "x"), ("load", "FILE"), ("dump", "OUT"),
        ("incompat", "refute", "x", "--reason", "y"),
        ("incompat", "add", "--title", "t", "--party", "pan=calder-38-pan", "--symptom", "s", "--found", "build",
         "--harm", "leaks", "--milestone", "prime"),
    ],
    ids=lambda words: " ".join(words[:2]),
)  # fmt: skip
@pytest.mark.parametrize(("hurt", "message", "step"), HURT, ids=[each[0].__name__ for each in HURT])
def test_a_file_that_is_no_good_database_is_told_by_every_command(
    run: Run, tmp_path: Path, sample: str, hurt: Callable[[Path, str], None], message: str, step: str, words: tuple[str]
) -> None:
    path = tmp_path / "hurt.db"
    hurt(path, sample)
    before = path.read_bytes() if path.is_file() else None
    good = tmp_path / "new.json"
    good.write_text(json.dumps(PAN), encoding="utf-8")
    given = [str(good) if word == "FILE" else str(tmp_path / "out") if word == "OUT" else word for word in words]
    ran = run(*given, "--db", str(path))
    assert ran.status == 2
    assert str(path) in ran.err
    assert message in ran.err
    assert step in ran.step
    assert (path.read_bytes() if path.is_file() else None) == before
    assert {each.name for each in tmp_path.iterdir()} <= {"hurt.db", "new.json"}


def test_a_missing_database_is_not_made_by_asking(run: Run, tmp_path: Path) -> None:
    assert run("check", "drover", "--db", str(tmp_path / "none.db")).status == 2
    assert list(tmp_path.iterdir()) == []


def test_a_read_only_database_can_be_asked_but_not_written(run: Run, own: str, tmp_path: Path) -> None:
    os.chmod(own, 0o444)
    before = Path(own).read_bytes()
    assert run("check", "drover-good", "--db", own).status == 0
    file = tmp_path / "new.json"
    file.write_text(json.dumps(PAN), encoding="utf-8")
    for words in (("load", str(file)), ("incompat", "refute", "coil-on-magnet-ring", "--reason", "no")):
        ran = run(*words, "--db", own)
        assert ran.status == 2
        assert "may only be read" in ran.err
        assert "make the file writable" in ran.step
    assert Path(own).read_bytes() == before


def test_two_writers_at_once(run: Run, own: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from kb.store import opening

    monkeypatch.setattr(opening, "WAIT_SECONDS", 0.2)
    file = tmp_path / "new.json"
    file.write_text(json.dumps(PAN), encoding="utf-8")
    other = sqlite3.connect(own)
    other.execute("BEGIN IMMEDIATE")
    ran = run("load", str(file), "--db", own)
    assert ran.status == 2
    assert "another program is writing to it" in ran.err
    assert "wait until it is done" in ran.step
    assert run("check", "drover-good", "--db", own).status == 0  # a check need not wait
    other.rollback()
    other.close()
    assert run("load", str(file), "--db", own).status == 0


# -- init, load, dump -------------------------------------------------------------------------------------------------


def test_init_never_overwrites(run: Run, own: str, tmp_path: Path) -> None:
    before = Path(own).read_bytes()
    for path in (own, str(tmp_path)):
        ran = run("init", path, "--sample")
        assert ran.status == 2
        assert "exists already" in ran.err
        assert "nothing is ever overwritten" in ran.step
    assert run("init", str(tmp_path / "no" / "x.db")).step == "make the folder first"
    assert Path(own).read_bytes() == before


def test_an_empty_database_takes_records(run: Run, tmp_path: Path) -> None:
    path = str(tmp_path / "empty.db")
    made = run("init", path)
    assert (made.status, made.err) == (0, "")
    assert "fill it with matchmark load" in made.out
    nothing = run("check", "drover", "--db", path)
    assert nothing.status == 2
    assert nothing.step == "load a record of kind build first"
    loaded = run("load", str(TOP / "sample_db" / "records"), "--db", path)
    assert loaded.status == 0
    assert run("check", "drover-good", "--db", path).status == 0


@pytest.mark.parametrize("form", ["yaml", "json"])
def test_a_dump_loaded_again_gives_the_same_answers(run: Run, sample: str, tmp_path: Path, form: str) -> None:
    folder, path = str(tmp_path / "records"), str(tmp_path / "again.db")
    assert run("dump", folder, "--form", form, "--db", sample).status == 0
    assert run("init", path).status == 0
    assert run("load", folder, "--db", path).status == 0
    assert content_hash(path) == content_hash(sample)
    for words in (("drover",), ("drover-good", "--full"), ("pair-unknown", "--json"), ("farm-33", "--units", "in64")):
        assert run("check", *words, "--db", path) == run("check", *words, "--db", sample)
    again = run("load", folder, "--db", path)
    assert "0 added, 0 changed" in again.out


def test_a_dump_does_not_write_over_a_full_folder(run: Run, sample: str, tmp_path: Path) -> None:
    kept = tmp_path / "mine.txt"
    kept.write_text("mine", encoding="utf-8")
    ran = run("dump", str(tmp_path), "--db", sample)
    assert ran.status == 2
    assert ran.step
    assert [each.name for each in tmp_path.iterdir()] == ["mine.txt"]
    assert run("dump", str(kept), "--db", sample).status == 2
    assert kept.read_text(encoding="utf-8") == "mine"


FAULTY = """\
kind: pan
id: first-bad
name: first bad one
sump_depth: 3 bar
---
kind: pan
id: good-pan
name: a good one
---
kind: pan
id: bad-term
name: names a term that is none
rail_pattern: calder-83
---
kind: pan
id: second-bad
name: second bad one
sump_depht: 190 mm
flange_width: 190 in
---
kind: pann
id: third-bad
name: third bad one
---
kind: pan
id: good-pan
name: the same id again
"""


def test_load_tells_all_faults_with_file_line_field_and_step_and_changes_nothing(
    run: Run, own: str, tmp_path: Path
) -> None:
    before = content_hash(own)
    (tmp_path / "bad.yaml").write_text(FAULTY, encoding="utf-8")
    (tmp_path / "bad.csv").write_text("kind,id,name,sump depht (mm)\npan,csv-pan,a pan,188\n", encoding="utf-8")
    (tmp_path / "bad.json").write_text('{"kind": "pan", "id": "j", "name": "j", "price": NaN}', encoding="utf-8")
    (tmp_path / "torn.json").write_text('{"kind": "pan", "id":', encoding="utf-8")
    files = [str(tmp_path / name) for name in ("bad.yaml", "bad.csv", "bad.json", "torn.json")]
    ran = run("load", *files, "--db", own)
    assert ran.status == 2
    assert ran.out == ""
    faults = ran.err.splitlines()
    wanted = [
        ("bad.yaml:4", "sump_depth", "a pressure (bar) where a length is due"),
        ("bad.yaml:13", "rail_pattern", "calder-83"),
        ("bad.yaml:18", "sump_depht", ""),
        ("bad.yaml:19", "flange_width", "4826 mm is absurd"),
        ("bad.yaml:21", "kind", "pann"),
        ("bad.yaml:25", "id", "good-pan"),
        ("bad.csv", "sump depht (mm)", ""),
        ("bad.json", "", "NaN"),
        ("torn.json", "", ""),
    ]
    for place, field, words in wanted:
        lines = [
            number
            for number, line in enumerate(faults)
            if place in line and field in line and words.lower() in line.lower()
        ]
        assert lines, (place, field, words, ran.err)
        assert any(faults[number + 1].startswith("  next: ") for number in lines), (place, ran.err)
    assert "did you mean sump_depth" in ran.err
    assert "did you mean pan" in ran.err
    assert "nothing was changed" in faults[-1]
    assert content_hash(own) == before


def test_keep_good_loads_the_rest_and_still_says_so(run: Run, own: str, tmp_path: Path) -> None:
    file = tmp_path / "bad.yaml"
    file.write_text(FAULTY.rpartition("---")[0], encoding="utf-8")
    ran = run("load", str(file), "--keep-good", "--db", own)
    assert ran.status == 2
    assert "1 added" in ran.out
    assert "3 bar" in ran.err
    assert run("check", "pan=good-pan", "--db", own).status == 3
    assert run("check", "pan=first-bad", "--db", own).status == 2


@pytest.mark.parametrize("name", ["nothing.yaml", "folder-of-nothing"])
def test_files_that_are_not_there_are_told(run: Run, own: str, tmp_path: Path, name: str) -> None:
    ran = run("load", str(tmp_path / name), "--db", own)
    assert ran.status == 2
    assert "there is no such file or folder" in ran.err
    assert ran.step == "check the path"


def test_a_kill_in_the_middle_of_a_load_leaves_the_database_as_it_was(own: str, tmp_path: Path) -> None:
    before = content_hash(own)
    many = [{**PAN, "id": f"pan-{number}", "notes": "x" * 5000} for number in range(3000)]
    file = tmp_path / "many.json"
    file.write_text(json.dumps(many), encoding="utf-8")
    child = subprocess.Popen(
        [*COMMAND, "load", str(file), "--db", own], env=environment(), stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )  # fmt: skip
    journal = Path(f"{own}-journal")
    deadline = time.monotonic() + PATIENCE
    while child.poll() is None and not (journal.exists() and journal.stat().st_size) and time.monotonic() < deadline:
        time.sleep(0.002)
    assert child.poll() is None, "the load was over before it could be stopped"
    child.send_signal(signal.SIGKILL)
    child.wait()
    assert process("check", "drover-good", "--db", own).status == 0
    assert content_hash(own) == before


def test_ctrl_c_in_the_middle_of_a_load_says_so_and_changes_nothing(own: str, tmp_path: Path) -> None:
    before = content_hash(own)
    many = [{**PAN, "id": f"pan-{number}", "notes": "x" * 5000} for number in range(3000)]
    file = tmp_path / "many.json"
    file.write_text(json.dumps(many), encoding="utf-8")
    child = subprocess.Popen(
        [*COMMAND, "load", str(file), "--db", own], env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )  # fmt: skip
    journal = Path(f"{own}-journal")
    deadline = time.monotonic() + PATIENCE
    while child.poll() is None and not journal.exists() and time.monotonic() < deadline:
        time.sleep(0.002)
    assert child.poll() is None, "the load was over before it could be stopped"
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=PATIENCE)
    assert (child.returncode, out) == (130, b"")
    assert err == b"stopped; the database is as it was before\n"
    assert content_hash(own) == before
    assert not journal.exists()
