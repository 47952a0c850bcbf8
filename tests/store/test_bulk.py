"""A load in one pass does what the load that tells every fault does; what is at fault changes nothing."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from store_records import ALL, DEEP, MINE, PICKUP, TERMS

import kb.store.load as loading
from kb.errors import Faults
from kb.reading_files import MAX_BYTES, read, streaming
from kb.records.models import check
from kb.records.quick import Quick
from kb.store import schema
from kb.store.dump import content_hash
from kb.store.load import init, load, sample_folder

SAMPLE = sample_folder()


@pytest.fixture
def one_pass(monkeypatch: pytest.MonkeyPatch) -> None:
    """However little there is to load, one pass is tried first; and it must do, or the test says that it may not."""
    monkeypatch.setattr(loading, "LARGE", -1)


def rows(path: str) -> dict[str, list[str]]:
    """What every table says, rows in no order; times and running numbers left out."""
    con = sqlite3.connect(path)
    try:
        con.row_factory = sqlite3.Row
        tables = [*schema.projections(), "part", "build", "history", "search", "source", "instrument", "term"]
        found = {}
        for table in tables:
            lines = [dict(row) for row in con.execute(f'SELECT * FROM "{table}"')]
            for each in lines:
                for name in ("at", "updated", *(["id"] if table in ("history", "search", "dimension") else [])):
                    each.pop(name, None)
            found[table] = sorted(json.dumps(each, sort_keys=True) for each in lines)
        return found
    finally:
        con.close()


def write(path: Path, records: Any) -> str:
    path.write_text(json.dumps(records, indent=1), encoding="utf-8")
    return str(path)


def test_the_sample_in_one_pass_makes_the_same_database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    first, second = str(tmp_path / "first.db"), str(tmp_path / "second.db")
    init(first, sample=True)
    init(second)
    monkeypatch.setattr(loading, "LARGE", -1)
    monkeypatch.setattr(loading, "read", lambda paths: pytest.fail("the one pass did not do"))
    report = load(second, [SAMPLE], by="sample")
    assert report.count("add") == len(read([SAMPLE]).records)
    assert rows(first) == rows(second)
    assert content_hash(first) == content_hash(second)
    again = load(second, [SAMPLE], by="sample")
    assert (again.count("add"), again.count("change")) == (0, 0)
    assert again.count("same") == report.count("add")


@pytest.mark.usefixtures("one_pass")
def test_what_a_record_names_may_come_after_it_and_changes_are_laid_out(tmp_path: Path) -> None:
    path = str(tmp_path / "kb.db")
    init(path)
    backwards = [MINE, PICKUP, *(one for one in ALL if one not in (MINE, PICKUP, DEEP, *TERMS)), DEEP, *TERMS]
    report = load(path, [write(tmp_path / "all.json", backwards)], by="Sam")
    assert report.count("add") == len(backwards)
    report = load(path, [write(tmp_path / "one.json", [{**DEEP, "price": 131}])], by="Kim")
    assert str(report) == "0 added, 1 changed, 0 unchanged"
    plain = str(tmp_path / "plain.db")
    init(plain)
    loading.LARGE = 10**9
    load(plain, [tmp_path / "all.json"], by="Sam")
    load(plain, [tmp_path / "one.json"], by="Kim")
    assert rows(path) == rows(plain)


GOOD = {"kind": "pickup", "id": "p-1", "name": "P", "hang": "185 mm"}
FAULTY = {
    "twice": ([GOOD, GOOD], "the id p-1 is given twice"),
    "a later fault": ([GOOD, {**GOOD, "id": "p-2", "hang": "185"}], "'185' has no unit"),
    "no such part": ([{**GOOD, "based_on": "nowhere"}], "there is no pickup named 'nowhere'"),
    "circle": ([{**GOOD, "based_on": "p-2"}, {**GOOD, "id": "p-2", "based_on": "p-1"}], "is based on itself"),
    "no source": ([{**GOOD, "known": {"source": "nobody"}}], "there is no source named 'nobody'"),
    "a number": ([GOOD, 7], "an entry of the list is not a record"),
    "a key twice": ('[{"kind": "pickup", "id": "p-1", "name": "P", "name": "Q"}]', "names 'name' twice"),
    "no end": ('[{"kind": "pickup", "id": "p-1", "name": "P"}', "is not JSON"),
    "after the end": ('[{"kind": "pickup", "id": "p-1", "name": "P"}] 7', "is not JSON"),
    "nothing": ("[]", "holds no record"),
    "NaN": ('[{"kind": "pickup", "id": "p-1", "name": "P", "price": NaN}]', "NaN is not a value"),
    "too deep": ("[" * 3000, "is nested more than"),
}  # fmt: skip


@pytest.mark.usefixtures("one_pass")
@pytest.mark.parametrize("name", FAULTY)
def test_faults_are_told_as_ever_and_nothing_is_changed(name: str, tmp_path: Path) -> None:
    records, words = FAULTY[name]
    path = str(tmp_path / "kb.db")
    init(path)
    before = content_hash(path)
    file = tmp_path / "records.json"
    file.write_text(records if isinstance(records, str) else json.dumps(records, indent=1), encoding="utf-8")
    with pytest.raises(Faults) as caught:
        load(path, [file], by="x")
    assert words in str(caught.value)
    assert "records.json" in str(caught.value)
    assert content_hash(path) == before


@pytest.mark.usefixtures("one_pass")
def test_a_part_keeps_its_kind(tmp_path: Path) -> None:
    path = str(tmp_path / "kb.db")
    init(path)
    load(path, [write(tmp_path / "a.json", [GOOD])], by="x")
    with pytest.raises(Faults, match="belongs to a part of kind pickup already"):
        load(path, [write(tmp_path / "b.json", [{"kind": "pan", "id": "p-1", "name": "P"}])], by="x")


@pytest.mark.usefixtures("one_pass")
def test_of_what_is_too_large_to_be_read_twice_one_fault_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = str(tmp_path / "kb.db")
    init(path)
    monkeypatch.setattr(loading, "MAX_BYTES", 1)
    with pytest.raises(Faults, match=r"a.json:\d+: hang: '185' has no unit") as caught:
        load(path, [write(tmp_path / "a.json", [GOOD, {**GOOD, "id": "p-2", "hang": "185"}])], by="x")
    assert len(caught.value.faults) == 1
    assert "one fault is told at a time" in str(caught.value)


def test_a_json_file_beyond_the_limit_of_slow_reading_is_loaded(tmp_path: Path) -> None:
    path = str(tmp_path / "kb.db")
    init(path)
    notes = "n" * 19_000
    many = [{"kind": "pickup", "id": f"p-{number}", "name": "P", "notes": notes} for number in range(900)]
    file = tmp_path / "large.json"
    file.write_text(json.dumps(many), encoding="utf-8")
    assert file.stat().st_size > MAX_BYTES
    assert load(path, [file], by="x").count("add") == len(many)


@pytest.mark.parametrize("step", [7, 64, 1 << 18])
def test_streaming_reads_what_slow_reading_reads(step: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(streaming, "STEP", step)
    write(tmp_path / "all.json", ALL)
    table = 'id,name,hang_mm,known.how\np-1,P,185.5,drawing\n\np-2,"Q\nR",,listing\np-3,S,1/2,\n'
    (tmp_path / "pickup.csv").write_text("\ufeff" + table, encoding="utf-8")
    (tmp_path / "words.txt").write_text("no record", encoding="utf-8")
    skipped: list[str] = []
    found = list(streaming.records([tmp_path], skipped))
    slow = read([tmp_path])
    assert not slow.faults
    assert [one.data for one in found] == [one.data for one in slow.records]
    assert [one.origin() for one in found] == [one.origin() for one in slow.records]
    assert skipped == slow.skipped


def test_a_quick_check_finds_what_the_whole_model_finds() -> None:
    quick = Quick()
    for given in read([SAMPLE]).records:
        whole = check(given)
        assert repr(quick(given)) == repr(whole)
        assert repr(quick(given)) == repr(whole)  # from memory


@pytest.mark.parametrize(
    "record",
    [
        {**GOOD, "hangs": "1 mm"},
        {**GOOD, "hang": 185},
        {**GOOD, "bends": True},
        {**GOOD, "brace": 1},
        {**GOOD, "known": {"how": "hearsay"}},
        {**GOOD, "known": []},
        {**GOOD, "id": "P 1"},
        {**GOOD, "price": float("nan")},
        {"kind": "pickup", "id": "p-1"},
    ],
)
def test_a_quick_check_refuses_what_the_whole_model_refuses(record: dict[str, Any]) -> None:
    from kb.records.given import Given

    quick = Quick()
    quick(Given({**GOOD, "bends": 1, "brace": True}))
    with pytest.raises(Faults) as whole:
        check(Given(record))
    with pytest.raises(Faults) as told:
        quick(Given(record))
    assert str(told.value) == str(whole.value)
