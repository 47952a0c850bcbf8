"""Load, dump, the tables, single records: what changes, what is refused, what is kept."""

from __future__ import annotations

import io
import json
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from store_records import ALL, BUILD, CLASH, DEEP, FADES, GAUGE, MINE, PICKUP, SOURCE, TERMS, TOOL, record_sets

from kb.errors import Fault, Faults, StoreFault, UnknownName
from kb.reading_files._yaml import yaml_text
from kb.records import KINDS
from kb.records.models import normalise
from kb.store import read, schema
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from kb.store.rows import readings_in
from kb.store.write import remove, set_status, write_record

Make = Callable[..., str]


@pytest.fixture(scope="session")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("empty") / "kb.db"
    init(path)
    return path


@pytest.fixture
def make(tmp_path: Path, empty: Path) -> Make:
    """A fresh database, loaded with the records given."""
    count = iter(range(100))

    def made(records: list[dict[str, Any]] = ALL) -> str:
        path = tmp_path / f"kb{next(count)}.db"
        shutil.copy(empty, path)
        if records:
            load(path, [write(tmp_path, records)], by="tester")
        return str(path)

    return made


def write(folder: Path, records: list[dict[str, Any]], name: str = "records.json") -> Path:
    path = folder / name
    path.write_text(json.dumps(records, indent=1), encoding="utf-8")
    return path


def query(path: str, sql: str, *values: Any) -> list[tuple[Any, ...]]:
    con = sqlite3.connect(path)
    try:
        return con.execute(sql, values).fetchall()
    finally:
        con.close()


def told(caught: pytest.ExceptionInfo[Faults]) -> str:
    assert all(fault.step for fault in caught.value.faults), str(caught.value)
    return str(caught.value)


def test_a_load_says_what_it_did_and_the_history_keeps_only_real_changes(make: Make, tmp_path: Path) -> None:
    path = make([])
    file = write(tmp_path, ALL)
    first = load(path, [file], by="Sam")
    assert (first.count("add"), first.count("change"), first.count("same")) == (len(ALL), 0, 0)
    before = content_hash(path)
    assert load(path, [file], by="Sam").count("same") == len(ALL)
    assert len(query(path, "SELECT id FROM history")) == len(ALL)
    load(path, [write(tmp_path, [{**DEEP, "price": 130}])], by="Kim")
    assert query(path, "SELECT by, kind, action FROM history ORDER BY id DESC LIMIT 1") == [("Kim", "pan", "change")]
    ((old, new, origin, at),) = query(path, "SELECT before, after, origin, at FROM history ORDER BY id DESC LIMIT 1")
    assert json.loads(old) == DEEP
    assert json.loads(new)["price"] == 130
    assert origin.endswith("records.json:2")
    assert at.endswith("Z")
    assert query(path, "SELECT revision FROM part WHERE id = 'deep-pan'") == [(2,)]
    assert content_hash(path) != before
    load(path, [write(tmp_path, [DEEP])], by="Kim")
    assert content_hash(path) == before


def test_all_tables_are_strict_and_foreign_keys_hold(make: Make) -> None:
    path = make()
    loose = query(path, "SELECT name FROM pragma_table_list WHERE type = 'table' AND schema = 'main' AND NOT strict")
    assert {row[0] for row in loose} <= {"_sqlite_migrations", "sqlite_schema"}
    assert query(path, "PRAGMA foreign_key_check") == []
    assert query(path, "PRAGMA integrity_check") == [("ok",)]
    con = schema.connect(path, writing=True)
    with pytest.raises(sqlite3.IntegrityError):
        con.execute("DELETE FROM part WHERE id = 'deep-pan'")
    con.close()


def test_columns_carry_their_unit(make: Make) -> None:
    path = make()
    assert query(path, "SELECT sump_depth_mm, shelf_depth_mm, rail_pattern FROM pan WHERE id = 'deep-pan'") == [
        (190.0, 90.0, "late")
    ]
    assert query(path, "SELECT hang_mm, bends, brace FROM pickup") == [(185.0, 2, 1)]
    assert query(path, "SELECT id, height_mm FROM flange_reading WHERE part = 'my-pan' ORDER BY number") == [
        ("R1", 0.1), ("R2", 0.0),
    ]  # fmt: skip
    sql = "SELECT value_si, instrument, by, how FROM dimension WHERE part = 'my-pan' AND path = 'sump_depth'"
    assert query(path, sql) == [(0.1896, "my-caliper", "Sam", "measured")]
    assert query(path, "SELECT role, part, owned, price FROM build_role ORDER BY role") == [
        ("pan", "my-pan", 0, None), ("pickup", "long-pickup", 1, 30.0),
    ]  # fmt: skip


def projections_agree(path: str) -> None:
    """The tables of kinds, entries and dimensions say what the parts say, no row more and none less."""
    con = read.open_readonly(path)
    parts = read.parts(con, read.ids(con))
    rows = 0
    for part in parts.values():
        features = KINDS[part.kind].features
        columns = [each for each in features.values() if each.sort != "list"]
        names = ", ".join(['"id"', *(f'"{each.column}"' for each in columns)])
        ((_, *cells),) = con.rows(f'SELECT {names} FROM "{part.kind}" WHERE id = ?', [part.id])
        for feature, cell in zip(columns, cells, strict=True):
            value = part.facts.get(feature.name)
            if value is None:
                assert cell is None
            elif feature.sort == "dimension":
                assert cell * feature.shown_scale == pytest.approx(value.value)
            elif feature.sort == "position":
                assert cell * feature.shown_scale == pytest.approx(value)
            elif feature.sort == "codes":
                assert cell == ", ".join(sorted(value))
            else:
                assert cell == value
        for feature in features.values():
            if feature.item is not None:
                table = schema.entry_table(feature.item)
                sql = f'SELECT id FROM "{table}" WHERE part = ? AND feature = ? ORDER BY number'
                ids = [row[0] for row in con.rows(sql, [part.id, feature.name])]
                assert ids == [entry["id"] for entry in part.facts.get(feature.name, ())]
        (facts,) = con.rows("SELECT facts FROM part WHERE id = ?", [part.id])[0]
        said = [(where, one["si"]) for where, _, one in readings_in(part.kind, json.loads(facts))]
        assert con.rows("SELECT path, value_si FROM dimension WHERE part = ? ORDER BY id", [part.id]) == said
        rows += len(said)
    assert con.rows("SELECT count(*) FROM dimension") == [(rows,)]
    total = sum(con.rows(f'SELECT count(*) FROM "{kind}"')[0][0] for kind in KINDS)
    assert total == len(parts)
    con.close()


def test_projections_agree_with_the_parts(make: Make, tmp_path: Path) -> None:
    path = make()
    projections_agree(path)
    load(path, [write(tmp_path, [{**DEEP, "sump_depth": "170 +/- 1 mm", "flange": []}])], by="x")
    projections_agree(path)  # the pan based on it has moved too
    depth = query(path, "SELECT sump_depth_mm FROM pan WHERE id = 'my-pan'")[0][0]
    assert depth < 189  # it contradicts its own reading now, so it lies between
    before = query(path, "SELECT standard_uncertainty_si FROM dimension WHERE instrument = 'my-caliper'")
    load(path, [write(tmp_path, [{**TOOL, "half_width": "0.3 mm"}])], by="x")
    after = query(path, "SELECT standard_uncertainty_si FROM dimension WHERE instrument = 'my-caliper'")
    assert after[0][0] == pytest.approx(10 * before[0][0])  # ten times the half width
    projections_agree(path)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(records=record_sets())
def test_dump_then_load_gives_an_equal_database(
    records: list[dict[str, Any]], empty: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    folder = tmp_path_factory.mktemp("trip")
    paths = [str(shutil.copy(empty, folder / f"{name}.db")) for name in "abc"]
    for record in records:
        write_one = folder / "in" / f"{record['kind']}-{record['id'].replace('/', '-')}.yaml"
        write_one.parent.mkdir(exist_ok=True)
        write_one.write_text(yaml_text(record), encoding="utf-8")
    load(paths[0], [folder / "in"], by="first")
    for path, form in zip(paths[1:], ("yaml", "json"), strict=True):
        assert dump(paths[0], folder / form, form).records == len(records)
        load(path, [folder / form], by="second")
        assert content_hash(path) == content_hash(paths[0])
    projections_agree(paths[0])
    con = read.open_readonly(paths[0])
    for record in records:
        assert read.record(con, record["kind"], record["id"]) == record
    con.close()


def test_one_record_a_file(make: Make, tmp_path: Path) -> None:
    path = make()
    dump(path, tmp_path / "out")
    assert (tmp_path / "out" / "pan" / "deep-pan.yaml").is_file()
    assert (tmp_path / "out" / "term" / "rail_pattern" / "late.yaml").is_file()
    assert (tmp_path / "out" / "pan" / "deep-pan.yaml").read_text().startswith("kind: pan\nid: deep-pan\n")
    with pytest.raises(StoreFault, match="is not empty"):
        dump(path, tmp_path / "out")
    dump(path, tmp_path / "out", replace=True)


def test_a_stream_holds_all_or_one_kind(make: Make, tmp_path: Path) -> None:
    path = make()
    for form in ("yaml", "json"):
        out = io.StringIO()
        assert dump(path, out, form).records == len(ALL)
        (tmp_path / f"all.{form}").write_text(out.getvalue(), encoding="utf-8")
        other = make([])
        load(other, [tmp_path / f"all.{form}"], by="x")
        assert content_hash(other) == content_hash(path)
    out = io.StringIO()
    done = dump(path, out, "csv", kind="pickup")
    assert out.getvalue().splitlines()[0] == "kind,id,name,hang,bends,brace"
    assert done.left_out == []
    with pytest.raises(StoreFault, match="holds one kind"):
        dump(path, io.StringIO(), "csv")
    with pytest.raises(StoreFault, match="no form"):
        dump(path, out, "xml")


def test_csv_says_what_a_table_cannot_hold(make: Make, tmp_path: Path) -> None:
    path = make()
    done = dump(path, tmp_path / "csv", "csv")
    assert "7 left out, which a table cannot hold: pan/deep-pan" in str(done)
    assert set(done.left_out) == {
        "pan/deep-pan", "pan/my-pan", "build/drover", "incompatibility/shallow", "donor/row-9", "reading/drover-0",
        "reading/drover-1",
    }  # fmt: skip
    flat = make([])
    load(flat, [tmp_path / "csv"], by="x")
    assert content_hash(flat) == content_hash(make([*TERMS, SOURCE, TOOL, PICKUP]))


def test_every_fault_is_told_and_nothing_changed(make: Make, tmp_path: Path) -> None:
    path = make()
    before = content_hash(path), query(path, "SELECT count(*) FROM history")
    (tmp_path / "bad").mkdir()
    (tmp_path / "bad" / "a.yaml").write_text("kind: pan\nid: new\nname: New\nsump_depth: 188\n")
    (tmp_path / "bad" / "b.yaml").write_text("kind: pan\nid: a\nid: b\n")
    (tmp_path / "bad" / "c.yaml").write_text("kind: pan\nid: x\nname: X\nbased_on: new\nrail_pattern: lat\n")
    (tmp_path / "bad" / "d.yaml").write_text("kind: pan\nid: good\nname: Good\n")
    with pytest.raises(Faults) as caught:
        load(path, [tmp_path / "bad"], by="x")
    text = told(caught)
    assert "a.yaml:4: sump_depth: 188 has no unit" in text
    assert "b.yaml:3: names 'id' twice" in text
    assert "c.yaml:5: rail_pattern: there is no term of rail_pattern named 'lat'" in text
    assert "did you mean late" in text
    assert "named 'new'" not in text  # it is there, only at fault itself
    assert len(caught.value.faults) == 3
    assert (content_hash(path), query(path, "SELECT count(*) FROM history")) == before


def test_keep_good_loads_the_rest_but_nothing_that_names_what_is_left_out(make: Make, tmp_path: Path) -> None:
    path = make()
    records = [
        {"kind": "pan", "id": "bad", "name": "Bad", "sump_depth": 188},
        {"kind": "pan", "id": "child", "name": "Child", "based_on": "bad"},
        {"kind": "pan", "id": "grandchild", "name": "Grandchild", "based_on": "child"},
        {"kind": "pan", "id": "good", "name": "Good"},
        {"kind": "pan", "id": "twin", "name": "One"},
        {"kind": "pan", "id": "twin", "name": "Other"},
    ]
    report = load(path, [write(tmp_path, records)], by="x", keep_good=True)
    assert [change.id for change in report.changes] == ["good"]
    assert len(report.faults) == 5
    assert "5 left out for 5 faults" in str(report)
    con = read.open_readonly(path)
    assert "good" in read.ids(con, "pan")
    assert "twin" not in read.ids(con)
    con.close()


@pytest.mark.parametrize(
    ("records", "message"),
    [
        ([{**DEEP, "based_on": "dep-pan"}], "did you mean deep-pan"),
        ([{**MINE, "based_on": "long-pickup"}], "is of kind pickup, not pan"),
        ([{**DEEP, "based_on": "deep-pan"}], "is based on itself"),
        ([{**DEEP, "based_on": "my-pan"}], "is based on itself: deep-pan on my-pan on deep-pan"),
        ([{**DEEP, "known": {"source": "aldin"}}], "did you mean aldine"),
        ([{**DEEP, "known": {"with": "calliper"}}], "did you mean caliper"),
        ([{**DEEP, "sump_depth": {"value": "190 mm", "source": "nobody"}}], "there is no source named 'nobody'"),
        ([{**DEEP, "sump_depth": {"value": "190 mm", "with": "calliper"}}], "did you mean caliper"),
        ([{**DEEP, "capacity": {"value": "5 L", "with": "caliper"}}], "does not read a volume"),
        ([{**DEEP, "rail_pattern": "lat"}], "did you mean late"),
        ([{**PICKUP, "id": "deep-pan"}], "belongs to a part of kind pan already"),
        ([DEEP, DEEP], "the id deep-pan is given twice"),
        ([{**PICKUP, "id": "x"}, {**DEEP, "id": "x"}], "the id x is given twice"),
        ([{**BUILD, "roles": {"pann": "my-pan"}}], "there is no role named 'pann'"),
        ([{**BUILD, "roles": {"pan": "my-pn"}}], "did you mean my-pan"),
        ([{**BUILD, "roles": {"pan": "long-pickup"}}], "is of kind pickup, not pan"),
        ([{**CLASH, "parties": [{"role": "pn"}]}], "there is no role named 'pn'"),
        ([{**CLASH, "parties": [{"role": "pan", "part": "long-pickup"}]}], "is of kind pickup, not pan"),
        ([{**CLASH, "parties": [{"role": "pan", "where": {"sump_dpth": "< 1 mm"}}]}], "did you mean sump_depth"),
        ([{**CLASH, "parties": [{"role": "pan", "where": {"sump_depth": "< 180"}}]}], "has no unit"),
        ([{**CLASH, "parties": [{"role": "pan", "where": {"rail_pattern": "lat"}}]}], "did you mean late"),
        ([{**CLASH, "evidence": [{"text": "x", "feature": "sump_depth"}]}], "names a feature but no role"),
        ([{**CLASH, "evidence": [{"text": "x", "role": "pan", "feature": "sump"}]}], "has no feature 'sump'"),
        ([{**CLASH, "evidence": [{"text": "x", "role": "pan", "feature": "sump_depth", "reading": "3 bar"}]}],
         "where a length is due"),
        ([{**TOOL, "origin": "nobody"}], "there is no source named 'nobody'"),
        ([{**TERMS[0], "id": "rail_patern/x"}], "did you mean rail_pattern"),
    ],
)  # fmt: skip
def test_what_records_name_must_be_there(
    make: Make, tmp_path: Path, records: list[dict[str, Any]], message: str
) -> None:
    path = make()
    before = content_hash(path)
    with pytest.raises(Faults) as caught:
        load(path, [write(tmp_path, records)], by="x")
    text = told(caught)
    assert message in text
    assert "records.json:" in text
    assert content_hash(path) == before


def test_a_part_may_come_before_what_it_is_based_on(make: Make) -> None:
    path = make([*TERMS, SOURCE, TOOL, MINE, BUILD, PICKUP, DEEP])
    con = read.open_readonly(path)
    assert read.part(con, "my-pan").facts["rail_pattern"] == "late"
    con.close()


def test_html_sql_and_strange_names_are_kept_verbatim(make: Make, tmp_path: Path) -> None:
    name = "<script>alert(1)</script>'; DROP TABLE part; --\" 🚗 \u202eabc \u2028 %00 ${x} {{y}}"
    path = make()
    load(path, [write(tmp_path, [{**PICKUP, "id": "odd", "name": name, "notes": "line\n\tline"}])], by="<b>'\"")
    con = read.open_readonly(path)
    assert read.part(con, "odd").name == name
    assert [hit.id for hit in read.search(con, "script alert")] == ["odd"]
    con.close()
    out = dump(path, tmp_path / "out")
    other = make([])
    load(other, [tmp_path / "out"], by="x")
    assert content_hash(other) == content_hash(path)
    assert out.records == len(ALL) + 1
    assert query(path, "SELECT by FROM history ORDER BY id DESC LIMIT 1") == [("<b>'\"",)]


def test_search_finds_parts_builds_and_clashes(make: Make) -> None:
    path = make()
    con = read.open_readonly(path)
    assert {hit.id for hit in read.search(con, "pan")} >= {"deep-pan", "my-pan", "shallow"}
    assert [hit.kind for hit in read.search(con, "oil press")] == ["incompatibility"]
    assert [hit.id for hit in read.search(con, "drov") if hit.kind == "build"] == ["drover"]
    for odd in ('"', "*", "NEAR(", "a AND", "'; DROP TABLE part", "", "\0", "(" * 1000):
        assert isinstance(read.search(con, odd), list)
    con.close()
    set_status(path, "shallow", "refuted", by="Kim", reason="no, a wet clutch")
    con = read.open_readonly(path)
    assert len(read.search(con, "foot on the floor")) == 1
    con.close()


def test_a_single_record_and_its_history(make: Make) -> None:
    path = make()
    change = write_record(path, {**PICKUP, "id": "new"}, by="Sam", origin="form", new=True)
    assert (change.action, change.origin) == ("add", "form")
    with pytest.raises(Faults, match="1 fault") as caught:
        write_record(path, {**PICKUP, "id": "new", "name": "Other"}, by="Kim", origin="form", new=True)
    assert "the id new is taken" in told(caught)
    assert write_record(path, {**PICKUP, "id": "new"}, by="Kim", origin="form").action == "same"
    assert write_record(path, {**PICKUP, "id": "new", "bends": 3}, by="Kim", origin="form").action == "change"
    with pytest.raises(Faults) as caught:
        write_record(path, {**MINE, "id": "n2", "based_on": "nothing"}, by="x", origin="form")
    assert "based_on: there is no pan named 'nothing'" in told(caught)
    assert query(path, "SELECT action, by FROM history WHERE record = 'new'") == [("add", "Sam"), ("change", "Kim")]


def test_reviews_confirm_and_refute_with_a_reason(make: Make) -> None:
    path = make()
    con = read.open_readonly(path)
    (clash,) = read.incompatibilities(con)
    con.close()
    assert clash.parties[0].where[0] == ("sump_depth", "<", 0.195)
    assert clash.parties[0].where[1] == ("rail_pattern", "in", ("late", "early"))
    assert clash.harm == ("destroys", "wears")
    set_status(path, "shallow", "confirmed", by="Kim", reason="seen too", date="2024-06-01")
    set_status(path, "shallow", "refuted", by="Sam", reason="it was the relief valve")
    con = read.open_readonly(path)
    assert read.incompatibilities(con) == []
    (kept,) = read.incompatibilities(con, refuted=True)
    assert kept.status == "refuted"
    record = read.record(con, "incompatibility", "shallow")
    con.close()
    assert [review["status"] for review in record["reviews"]] == ["confirmed", "refuted"]
    assert query(path, "SELECT number, status, reason FROM incompatibility_review ORDER BY number") == [
        (1, "confirmed", "seen too"), (2, "refuted", "it was the relief valve"),
    ]  # fmt: skip
    with pytest.raises(Faults):
        set_status(path, "shallow", "confirmed", by="Kim", reason="")
    with pytest.raises(Faults):
        set_status(path, "shallow", "maybe", by="Kim", reason="x")
    with pytest.raises(UnknownName, match="shalow"):
        set_status(path, "shalow", "confirmed", by="Kim", reason="x")


def test_removal_refuses_what_is_named_and_keeps_the_last_state(make: Make) -> None:
    path = make()
    for kind, id in (("pan", "deep-pan"), ("term", "rail_pattern/late"), ("source", "aldine"), ("pan", "my-pan"),
                     ("instrument", "my-caliper"), ("pickup", "long-pickup")):  # fmt: skip
        with pytest.raises(StoreFault, match="is named by"):
            remove(path, kind, id, by="x")
    for id in ("drover-0", "drover-1"):
        remove(path, "reading", id, by="Sam")
    remove(path, "build", "drover", by="Sam")
    remove(path, "pan", "my-pan", by="Sam")
    assert query(path, "SELECT count(*) FROM build_role") == [(0,)]
    ((action, before, after),) = query(path, "SELECT action, before, after FROM history ORDER BY id DESC LIMIT 1")
    assert (action, json.loads(before), after) == ("remove", MINE, None)
    projections_agree(path)
    assert content_hash(path) == content_hash(make([one for one in ALL if one not in (BUILD, MINE, GAUGE, FADES)]))
    with pytest.raises(UnknownName):
        remove(path, "pan", "my-pan", by="x")
    with pytest.raises(UnknownName):
        remove(path, "pann", "my-pan", by="x")


def test_a_record_goes_before_a_built_in_one_and_gives_way_again(make: Make) -> None:
    path = make()
    before = content_hash(path)
    own = {"kind": "instrument", "id": "feeler", "name": "Worn", "measures": ["gap"], "half_width": "0.2 mm"}
    write_record(path, own, by="x", origin="form")
    assert query(path, "SELECT name, built_in FROM instrument WHERE id = 'feeler'") == [("Worn", 0)]
    con = read.open_readonly(path)
    height = read.part(con, "my-pan").facts["flange"][1]["height"]
    con.close()
    assert height.u == pytest.approx(0.0002 / 3**0.5)  # rectangular: half width over root 3, JCGM 100 4.3.7
    remove(path, "instrument", "feeler", by="x")
    assert content_hash(path) == before


def test_read_answers_and_says_what_is_near(make: Make) -> None:
    path = make()
    con = read.open_readonly(path)
    build = read.build(con, "drover")
    assert build.roles["pickup"] == ("long-pickup", True, 30.0, "")
    assert build.own_limits[0].value == "6 mm"
    assert (build.fits_at, build.not_at) == (0.975, 0.025)
    assert read.ancestry(con, ["my-pan", "deep-pan"]) == {"my-pan": ("my-pan", "deep-pan"), "deep-pan": ("deep-pan",)}
    assert list(read.parts(con, ["my-pan", "deep-pan", "my-pan"])) == ["my-pan", "deep-pan"]
    assert read.ids(con, "pan") == ["deep-pan", "my-pan"]
    assert read.ids(con, "build") == ["drover"]
    for call, near in (
        (lambda: read.part(con, "dep-pan"), "deep-pan"),
        (lambda: read.build(con, "drovr"), "drover"),
        (lambda: read.record(con, "pan", "long-pickup"), ""),
        (lambda: read.part(con, "x" * 10_000), ""),
        (lambda: read.part(con, "'; DROP TABLE part; --"), ""),
    ):
        with pytest.raises(UnknownName) as caught:
            call()
        assert caught.value.step
        assert near in str(caught.value)
        assert len(str(caught.value)) < 300
    con.close()


def test_a_build_of_twenty_parts_reads_in_a_few_milliseconds(make: Make) -> None:
    import time

    many = [{**DEEP, "id": f"p{number}", "based_on": "deep-pan"} for number in range(20)]
    path = make([*TERMS, SOURCE, DEEP, *many])
    con = read.open_readonly(path)
    best = 1.0
    for _ in range(5):
        start = time.perf_counter()
        found = read.parts(con, [one["id"] for one in many])
        best = min(best, time.perf_counter() - start)
    con.close()
    assert len(found) == 20
    assert best < 0.02  # a few ms on a plain machine, with room for a slow one


def test_a_long_load_reports_progress(make: Make, tmp_path: Path) -> None:
    path = make([])
    seen: list[tuple[str, int, int]] = []
    many = [{"kind": "pickup", "id": f"p{number}", "name": "P"} for number in range(1250)]
    load(path, [write(tmp_path, many)], by="x", progress=lambda *step: seen.append(step))
    assert ("checking", 1250, 1250) in seen
    assert ("writing", 1250, 1250) in seen
    assert query(path, "SELECT count(*) FROM pickup") == [(1250,)]


def test_facts_are_what_the_models_say(make: Make) -> None:
    path = make()
    assert json.loads(query(path, "SELECT facts FROM part WHERE id = 'deep-pan'")[0][0]) == normalise(DEEP)


def test_the_sample_loads_and_goes_out_and_in_again(tmp_path: Path) -> None:
    assert init(tmp_path / "a.db", sample=True).count("add") > 50
    dump(tmp_path / "a.db", tmp_path / "out")
    init(tmp_path / "b.db")
    load(tmp_path / "b.db", [tmp_path / "out"], by="x")
    assert content_hash(tmp_path / "a.db") == content_hash(tmp_path / "b.db")
    projections_agree(str(tmp_path / "a.db"))


def test_load_of_nothing_or_of_a_missing_file(make: Make, tmp_path: Path) -> None:
    path = make([])
    with pytest.raises(Faults) as caught:
        load(path, [tmp_path / "none.yaml"], by="x")
    assert "there is no such file" in told(caught)
    assert load(path, [], by="x").changes == []
    with pytest.raises(Fault):
        load(tmp_path / "none.db", [], by="x")


def test_what_a_faulty_record_names_is_told_in_the_same_pass_in_the_order_of_its_lines(tmp_path: Path) -> None:
    path, file = tmp_path / "own.db", tmp_path / "bad.yaml"
    init(path, sample=True)
    file.write_text(
        "kind: pan\nid: bad-pan\nname: Bad\nrail_pattern: calder-39\nrear_seal: two_pieces\nsump_depth: 190\n"
        "shelf_depth: 40 kPa\nbased_on: calder-38-pann\nknown: {source: nobody}\n",
        encoding="utf-8",
    )
    with pytest.raises(Faults) as found:
        load(path, [file], by="test")
    lines = [int(fault.place.removeprefix(f"{file}:").partition(":")[0]) for fault in found.value.faults]
    assert lines == [4, 5, 6, 7, 8, 9]
