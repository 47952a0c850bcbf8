"""Donors, gauge readings, alternatives and reports in the database; a database made by version 1. Figures invented."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import pytest
from sqlite_utils import Database
from store_records import ALL, BUILD, CLASH, DEEP, DONOR, FADES, GAUGE, MINE, PICKUP

from kb.base import Base
from kb.errors import Faults, StoreFault, UnknownName
from kb.gauges import CIRCUITS, places
from kb.measure import instruments
from kb.records.models import normalise
from kb.store import opening, read, schema
from kb.store.dump import content_hash
from kb.store.load import init, load
from kb.store.rows import plain
from kb.store.write import remove, write_record
from kb.supply import Carried, Donor

PHOTO = f"{'ab' * 32}.jpg"


@pytest.fixture
def base(tmp_path: Path) -> str:
    path = str(tmp_path / "kb.db")
    init(path)
    (tmp_path / "all.json").write_text(json.dumps(ALL), encoding="utf-8")
    load(path, [tmp_path / "all.json"], by="tester")
    return path


def rows(path: str, sql: str) -> list[tuple[Any, ...]]:
    con = sqlite3.connect(path)
    try:
        return con.execute(sql).fetchall()
    finally:
        con.close()


def test_what_a_build_considers_comes_back(base: str) -> None:
    with Base(base) as kb:
        found = kb.record_of("drover").alternatives
    assert found == {"pan": (read.RoleEntry("deep-pan"), read.RoleEntry("my-pan", True, 0.0, "spare"))}
    assert rows(base, "SELECT role, part, number, owned, price FROM build_alternative ORDER BY number") == [
        ("pan", "deep-pan", 1, 0, None), ("pan", "my-pan", 2, 1, 0.0),
    ]  # fmt: skip


def test_donors_come_back_with_what_they_carry(base: str) -> None:
    with Base(base) as kb:
        (donor,) = kb.donors()
    carried = (Carried("long-pickup"), Carried("deep-pan", 25.0, "EUR", "dented"))
    assert donor == Donor(
        "row-9", "Blue saloon, row 9", "yard", "Penrose Marlow", "1996-2001", "Harbour breakers", "2024-05", carried
    )


def test_readings_come_back_in_si_in_the_order_of_starts(base: str) -> None:
    with Base(base) as kb:
        seen, gauge = kb.readings("drover")
        with pytest.raises(UnknownName, match="there is no build"):
            kb.readings("dorver")
    assert (seen.value, seen.half, seen.state, seen.start, seen.quantity) == ("fades", None, "primed", 1, "code")
    assert gauge.value == pytest.approx(320_000)  # 3.2 bar, 1 bar is 1e5 Pa by definition
    tool = instruments()["pressure-gauge"]
    assert gauge.half == pytest.approx(tool.half_width + tool.relative * 320_000)
    assert gauge.speed == pytest.approx(25.0)  # 1500 turns a minute
    assert gauge.temperature == pytest.approx(353.15)  # 80 degC
    assert (gauge.tool, gauge.text, gauge.by, gauge.note) == ("pressure-gauge", "3.2 bar", "Sam", "steady")
    assert rows(base, "SELECT circuit, value_si, code, speed_rpm FROM reading ORDER BY id") == [
        ("oil", None, "fades", None), ("oil", 320_000.0, None, 1500.0),
    ]  # fmt: skip


def test_parts_of_kinds_are_the_parts_one_by_one(base: str) -> None:
    with Base(base) as kb:
        found = kb.candidates(["pan", "pickup", "oil"])
        assert {kind: [part.id for part in some] for kind, some in found.items()} == {
            "pan": ["deep-pan", "my-pan"], "pickup": ["long-pickup"], "oil": [],
        }  # fmt: skip
        assert found["pan"] == [kb.part("deep-pan"), kb.part("my-pan")]


def test_a_part_says_where_one_gets_it_and_what_is_based_on_it_inherits_that(base: str) -> None:
    write_record(base, {**DEEP, "supply": "yard"}, by="x", origin="test")
    with Base(base) as kb:
        assert (kb.part("deep-pan").supply, kb.part("my-pan").supply, kb.part("long-pickup").supply) == (
            "yard", "yard", "",
        )  # fmt: skip
    assert rows(base, "SELECT supply FROM part WHERE id = 'deep-pan'") == [("yard",)]


@pytest.mark.parametrize(
    ("record", "message"),
    [
        ({**DONOR, "carries": ["deep-pam"]}, "did you mean deep-pan"),
        ({**DONOR, "years": "2001-1996"}, "run backwards"),
        ({**DONOR, "sort": "barn"}, "none of its choices"),
        ({**GAUGE, "build": "dorver"}, "did you mean drover"),
        ({**GAUGE, "place": "oil-galery"}, "did you mean oil-gallery"),
        ({**GAUGE, "place": "oil.Gal lery"}, "no place to read"),
        ({**GAUGE, "with": "presure-gauge"}, "did you mean pressure-gauge"),
        ({**GAUGE, "value": "3.2"}, "has no unit"),
        ({**GAUGE, "value": "3.2 V"}, "where a pressure is due"),
        ({**GAUGE, "value": "320 bar"}, "is absurd"),
        ({**GAUGE, "value": "purple"}, "no code for oil-gallery"),
        ({**GAUGE, "value": "fades", "tolerance": "1 bar"}, "has no tolerance"),
        ({**GAUGE, "speed": "1500 mm"}, "speed"),
        ({**GAUGE, "temperature": "2000 degC"}, "absurd"),
        ({**GAUGE, "photo": "../../secret.jpg"}, "is no name of a photo"),
        ({**FADES, "value": "3 bar"}, "is no code"),
        ({**BUILD, "alternatives": {"pan": ["long-pickup"]}}, "is of kind pickup, not pan"),
        ({**BUILD, "alternatives": {"pan": ["nothing"]}}, "there is no pan"),
        ({**BUILD, "alternatives": {"pam": ["deep-pan"]}}, "there is no role"),
        ({**BUILD, "alternatives": {"pan": ["deep-pan", "deep-pan"]}}, "twice"),
        ({**DEEP, "supply": "barn"}, "none of its choices"),
        ({**CLASH, "reports": [{"by": "Lee"}]}, "no field 'date'"),
        (
            {"kind": "first_start", "id": "f", "name": "F", "ticked": [{"id": "oil_cuonted"}]},
            "did you mean oil_counted",
        ),
        ({"kind": "small_parts", "id": "f", "name": "F", "ticked": [{"id": "turned_by_hand"}]}, "no item to tick"),
    ],
)
def test_what_is_refused_is_told_with_the_next_step(base: str, record: dict[str, Any], message: str) -> None:
    before = content_hash(base)
    with pytest.raises(Faults) as caught:
        write_record(base, record, by="x", origin="test")
    assert message in str(caught.value)
    assert all(fault.step for fault in caught.value.faults)
    assert content_hash(base) == before


def test_a_node_that_is_no_gauge_place_takes_any_figure_with_its_unit() -> None:
    facts = normalise({**GAUGE, "place": "start.starter.stud", "value": "9.6 +/- 0.1 V"})
    assert (facts["quantity"], facts["si"], facts["half"]) == ("voltage", pytest.approx(9.6), pytest.approx(0.1))


def test_ticks_and_photos_are_kept(base: str) -> None:
    ticked = [{"id": "oil_counted", "date": "2024-05-31", "by": "Sam", "note": "4.5 L"}]
    write_record(base, {"kind": "first_start", "id": "f", "name": "F", "ticked": ticked}, by="x", origin="test")
    with Base(base) as kb:
        assert kb.part("f").facts["ticked"] == tuple(ticked)
    evidence = [{"text": "see the mark", "photo": PHOTO}]
    write_record(base, {**CLASH, "evidence": evidence}, by="x", origin="test")
    write_record(base, {**GAUGE, "photo": PHOTO}, by="x", origin="test")
    with Base(base) as kb:
        assert kb.readings("drover")[-1].photo == PHOTO


def test_donors_and_readings_are_searched_and_have_a_history(base: str) -> None:
    con = read.open_readonly(base)
    assert [hit.id for hit in read.search(con, "marlow harbour")] == ["row-9"]
    assert {hit.id for hit in read.search(con, "drover oil-gallery")} == {"drover-1"}
    assert read.ids(con, "donor") == ["row-9"]
    assert read.record(con, "reading", "drover-1") == GAUGE
    con.close()
    write_record(base, {**DONOR, "seen": "2024-06"}, by="Kim", origin="test")
    assert rows(base, "SELECT by, action FROM history WHERE record = 'row-9' ORDER BY id") == [
        ("tester", "add"), ("Kim", "change"),
    ]  # fmt: skip


def test_what_a_donor_carries_or_a_reading_is_of_cannot_be_removed(base: str) -> None:
    with pytest.raises(StoreFault, match="donor row-9"):
        remove(base, "pickup", "long-pickup", by="x")
    with pytest.raises(StoreFault, match="reading drover-1, reading drover-0"):
        remove(base, "build", "drover", by="x")
    for kind, id in (("donor", "row-9"), ("reading", "drover-0"), ("reading", "drover-1")):
        remove(base, kind, id, by="x")
    remove(base, "build", "drover", by="x")
    for table in ("donor_part", "reading", "build_alternative"):
        assert rows(base, f"SELECT * FROM {table}") == []


def test_the_gauge_places_are_whole() -> None:
    assert {place.circuit for place in places().values()} == set(CIRCUITS)
    for place in places().values():
        assert place.id.startswith(f"{place.circuit}-")
        assert place.meaning
        assert place.options
        assert set(place.tools) <= set(instruments())
        assert place.quantity == "code" or place.plausible


def test_each_gauge_place_lies_at_the_node_that_its_circuit_gives_it() -> None:
    data = Path(schema.__file__).parent.parent / "data" / "circuits.json"
    at = json.loads(data.read_text(encoding="utf-8"))["gauge_places"]
    assert {place.id: [place.circuit, place.node] for place in places().values()} == at


def version_1(path: str) -> None:
    """A database as version 1 made it: its first step alone, one pan, one build and one clash written in plain SQL."""
    con = sqlite3.connect(path, isolation_level=None)
    steps = type(schema.STEPS)("matchmark")
    steps._migrations = schema.STEPS._migrations[:1]
    steps.apply(Database(con))
    con.execute("PRAGMA user_version = 1")
    con.execute(f"PRAGMA application_id = {opening.APPLICATION_ID:d}")
    build = {"kind": "build", "id": "drover", "name": "Drover", "roles": {"pickup": "long-pickup"}}
    clash = {name: value for name, value in CLASH.items() if name != "reports"}
    tail = ("record, facts, revision, updated", 1, "2024-01-01T00:00:00Z")
    for table, record, columns in (
        ("part", PICKUP, {"id": "long-pickup", "kind": "pickup", "name": "Long pickup"}),
        ("build", build, {"id": "drover", "name": "Drover"}),
        ("incompatibility", clash, {"id": "shallow", "title": clash["title"], "status": "reported"}),
    ):
        names = ", ".join(columns)
        values = [*columns.values(), plain(record), plain(normalise(record)), *tail[1:]]
        marks = ", ".join("?" for _ in values)
        con.execute(f"INSERT INTO {table} ({names}, {tail[0]}) VALUES ({marks})", values)
    con.execute("INSERT INTO build_role VALUES ('drover', 'pickup', 'long-pickup', 0, NULL, '')")
    con.close()


def test_a_database_of_version_1_says_what_to_do_and_any_write_brings_it_up(tmp_path: Path) -> None:
    path = str(tmp_path / "old.db")
    version_1(path)
    with pytest.raises(StoreFault, match="is of an older version \\(1\\)") as caught:
        read.open_readonly(path)
    assert "load any record file" in caught.value.step
    write_record(path, {**DONOR, "carries": ["long-pickup"]}, by="x", origin="test")
    with Base(path) as kb:
        assert kb.record_of("drover").alternatives == {}
        assert kb.readings("drover") == []
        assert kb.donors()[0].carries == (Carried("long-pickup"),)
        assert kb.part("long-pickup").facts["bends"] == 2
        assert kb.incompatibilities()[0].id == "shallow"
    assert rows(path, "PRAGMA user_version") == [(opening.VERSION,)]
    assert rows(path, "PRAGMA foreign_key_check") == []
    fresh = str(tmp_path / "fresh.db")
    init(fresh)
    assert tables(path) == tables(fresh)


def tables(path: str) -> list[Any]:
    found = rows(path, "SELECT m.name, c.name, c.type FROM sqlite_master m, pragma_table_info(m.name) c "
                       "WHERE m.type = 'table' ORDER BY 1, 2")  # fmt: skip
    return [row for row in found if not row[0].startswith("_")]


def test_what_is_based_on_another_is_told_with_all_its_readings_in_bulk(base: str) -> None:
    with Base(base) as kb:
        assert kb.candidates(["pan"])["pan"][1].facts["sump_depth"] == kb.part(MINE["id"]).facts["sump_depth"]
