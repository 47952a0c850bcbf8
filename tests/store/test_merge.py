"""Two people's bases joined: same, newer, joining, contradicting, differing; and nothing overwritten unasked."""

from __future__ import annotations

import json
import sqlite3
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from store_records import parts

from kb.base import Base
from kb.confidence import voices_of
from kb.errors import Fault, Faults, UnknownName
from kb.records import KINDS
from kb.records.models import normalise, part_of
from kb.say.merge import Merged, as_json, as_text
from kb.store import photos, read
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from kb.store.merge import merge
from kb.store.merging import merged
from kb.store.write import remove, set_status, write_record
from tests.pictures import JPEG, PNG

CALIPER = {"value": "190.1 mm", "with": "depth-gauge", "by": "Sam", "date": "2024-05-01"}
PAN: dict[str, Any] = {
    "kind": "pan", "id": "deep", "name": "Deep pan", "maker": "Aldine", "sump_depth": ["190 +/- 1 mm", CALIPER],
    "flange": [{"id": "R1", "height": "0.1 mm"}, {"id": "R2", "height": "0.1 mm"}],
}  # fmt: skip
PICKUP = {"kind": "pickup", "id": "long", "name": "Long pickup"}
BUILD = {"kind": "build", "id": "drover", "name": "Drover", "roles": {"pan": "deep"}}
CLASH: dict[str, Any] = {
    "kind": "incompatibility", "id": "shallow", "title": "Long pickup, shallow pan", "symptom": "no oil",
    "parties": [{"role": "pan", "part": "deep"}, {"role": "pickup", "part": "long"}], "found": "bench", "by": "Sam",
    "found_date": "2024-05-02", "harm": ["destroys"], "milestone": "prime",
}  # fmt: skip
DONOR = {"kind": "donor", "id": "row-9", "name": "Row 9", "sort": "yard", "seen": "2024-05-01", "carries": ["long"]}
GAUGE = {
    "kind": "reading", "id": "drover-1", "build": "drover", "place": "oil-gallery", "value": "3 bar",
    "state": "running", "by": "Sam", "date": "2024-06-01",
}  # fmt: skip
FLAGS = [name for name, each in KINDS["first_start"].features.items() if each.sort == "flag"]
OURS: list[dict[str, Any]] = [PAN, PICKUP, BUILD, CLASH, DONOR, GAUGE]


def make(folder: Path, name: str, records: list[dict[str, Any]]) -> str:
    path = str(folder / f"{name}.db")
    init(path)
    load(path, [put(folder, name, records)], by=name)
    return path


def put(folder: Path, name: str, records: list[dict[str, Any]]) -> Path:
    file = folder / f"{name}.json"
    file.write_text(json.dumps(records), encoding="utf-8")
    return file


@pytest.fixture
def ours(tmp_path: Path) -> str:
    return make(tmp_path, "ours", OURS)


def joined(ours: str, folder: Path, *theirs: dict[str, Any], **more: Any) -> Merged:
    return merge(ours, [put(folder, "theirs", list(theirs))], by="Kim", **more)


def stored(path: str, kind: str, id: str) -> dict[str, Any]:
    con = read.open_readonly(path)
    try:
        return read.record(con, kind, id)
    finally:
        con.close()


def test_what_is_the_same_changes_nothing_and_what_is_new_is_added(ours: str, tmp_path: Path) -> None:
    before = content_hash(ours)
    found = joined(ours, tmp_path, *OURS)
    assert (len(found.same), found.added, found.left) == (len(OURS), (), ())
    assert content_hash(ours) == before
    other = {"kind": "pan", "id": "other", "name": "Other"}
    assert joined(ours, tmp_path, other).added == (("pan", "other"),)
    con = sqlite3.connect(ours)
    assert con.execute("SELECT by, origin, action FROM history WHERE record = 'other'").fetchall() == [
        ("Kim", "merge theirs.json", "add")
    ]
    con.close()


def test_the_same_measurement_is_not_kept_twice_and_another_joins(ours: str, tmp_path: Path) -> None:
    same = {**CALIPER, "value": "19.01 cm"}  # said in another unit
    new = {"value": "190.2 mm", "with": "depth-gauge", "by": "Lee", "date": "2024-06-01"}
    found = joined(ours, tmp_path, {**PAN, "sump_depth": [same, new]})
    assert [(one.path, one.text, one.contradiction) for one in found.joined] == [("sump_depth", "190.2 mm", "")]
    assert stored(ours, "pan", "deep")["sump_depth"] == ["190 +/- 1 mm", CALIPER, new]
    assert joined(ours, tmp_path, {**PAN, "sump_depth": [same, new]}).joined == ()


def test_a_reading_that_contradicts_is_kept_and_shown(ours: str, tmp_path: Path) -> None:
    new = {"value": "182 mm", "with": "depth-gauge", "by": "Lee", "date": "2024-06-01"}
    found = joined(ours, tmp_path, {**PAN, "sump_depth": new})
    assert "two readings disagree" in found.contradictions[0].contradiction
    assert "contradict" in as_text(found)
    with Base(ours) as kb:
        assert kb.part("deep").facts["sump_depth"].contradiction
        assert len(kb.part("deep").facts["sump_depth"].readings) == 3


def test_origins_that_a_record_says_once_for_all_come_along(ours: str, tmp_path: Path) -> None:
    known = {"how": "drawing", "date": "2020"}
    theirs = {**PAN, "sump_depth": "190.5 mm", "shelf_depth": "90 mm", "known": known}
    joined(ours, tmp_path, theirs)
    with Base(ours) as kb:
        facts = kb.part("deep").facts
    assert [one.how for one in facts["sump_depth"].readings] == ["listing", "measured", "drawing"]
    assert [(one.how, one.date) for one in facts["shelf_depth"].readings] == [("drawing", "2020")]
    assert facts["flange"][0]["height"].readings[0].how == "listing"


def test_what_ours_says_once_for_all_is_not_said_of_theirs(tmp_path: Path) -> None:
    known = {"how": "listing", "source": "practice"}
    ours = make(tmp_path, "ours", [{**PAN, "sump_depth": "190 mm", "known": known}])
    joined(ours, tmp_path, {**PAN, "sump_depth": "189 mm", "shelf_depth": "90 mm"})
    with Base(ours) as kb:
        facts = kb.part("deep").facts
    assert [(one.text, one.source) for one in facts["sump_depth"].readings] == [
        ("190 mm", "practice"), ("189 mm", ""),
    ]  # fmt: skip
    assert [one.source for one in facts["shelf_depth"].readings] == [""]
    assert facts["flange"][0]["height"].readings[0].source == "practice"
    assert joined(ours, tmp_path, {**PAN, "sump_depth": "189 mm", "shelf_depth": "90 mm"}).joined == ()


def test_a_reading_sets_aside_only_what_its_author_knew(ours: str, tmp_path: Path) -> None:
    anew = {"value": "189.5 mm", "with": "caliper", "by": "Lee", "date": "2024-07-01", "supersedes": True}
    joined(ours, tmp_path, {**PAN, "sump_depth": ["190 +/- 1 mm", anew]})  # Lee never saw Sam's reading
    with Base(ours) as kb:
        kept = kb.part("deep").facts["sump_depth"].readings
    assert {one.text for one in kept} == {"190.1 mm", "189.5 mm"}
    later = {"value": "189.9 mm", "with": "micrometer", "by": "Ash", "date": "2024-08-01", "supersedes": True}
    joined(ours, tmp_path, {**PAN, "sump_depth": [*PAN["sump_depth"], anew, later]})
    with Base(ours) as kb:
        assert [one.text for one in kb.part("deep").facts["sump_depth"].readings] == ["189.9 mm"]


def test_what_ours_lacks_is_filled_in_and_what_differs_is_left(ours: str, tmp_path: Path) -> None:
    theirs = {**PAN, "price": 90, "rear_seal": "one_piece", "name": "Deep oil pan"}
    found = joined(ours, tmp_path, theirs)
    assert [field for _, _, field in found.filled] == ["price", "rear_seal"]
    (left,) = found.left
    assert (left.field, left.ours, left.theirs) == ("name", "Deep pan", "Deep oil pan")
    assert "--take theirs pan/deep" in left.step
    record = stored(ours, "pan", "deep")
    assert (record["name"], record["price"], record["rear_seal"]) == ("Deep pan", 90, "one_piece")
    settled = joined(ours, tmp_path, theirs, take={"pan/deep": "theirs"})
    assert settled.left == ()
    assert stored(ours, "pan", "deep")["name"] == "Deep oil pan"
    assert joined(ours, tmp_path, {**theirs, "name": "Third"}, take={"deep": "ours"}).left == ()
    assert stored(ours, "pan", "deep")["name"] == "Deep oil pan"


def test_two_parts_under_one_id_are_told_apart(ours: str, tmp_path: Path) -> None:
    before = content_hash(ours)
    found = joined(ours, tmp_path, {**PAN, "maker": "Brightwater Fab", "sump_depth": "150 mm", "price": 3})
    assert [(one.field, one.ours, one.theirs) for one in found.left] == [("maker", "Aldine", "Brightwater Fab")]
    assert "give theirs another id" in found.left[0].step
    other = joined(ours, tmp_path, {"kind": "pickup", "id": "deep", "name": "x"})
    assert [(one.field, one.ours, one.theirs) for one in other.left] == [("kind", "pan", "pickup")]
    assert content_hash(ours) == before


def test_one_part_under_two_ids_is_told(ours: str, tmp_path: Path) -> None:
    write_record(ours, {**PICKUP, "maker": "Aldine", "part_number": "A-7"}, by="x", origin="test")
    theirs = {"kind": "pickup", "id": "a7", "name": "A-7", "maker": "Aldine", "part_number": "A-7"}
    found = joined(ours, tmp_path, theirs)
    assert (found.alike, found.added) == ((("pickup", "a7", "long"),), (("pickup", "a7"),))
    assert "their a7 has maker and number of your long" in as_text(found)


def test_entries_join_and_an_order_that_may_mean_something_is_left(ours: str, tmp_path: Path) -> None:
    more = [*PAN["flange"], {"id": "R3", "height": "0.3 mm"}]
    found = joined(ours, tmp_path, {**PAN, "flange": more})
    assert [field for _, _, field in found.filled] == ["flange.R3"]
    assert [each["id"] for each in stored(ours, "pan", "deep")["flange"]] == ["R1", "R2", "R3"]
    turned = [{"id": "R2", "height": "0.1 mm"}, {"id": "R1", "height": "0.1 mm"}]
    assert [one.field for one in joined(ours, tmp_path, {**PAN, "flange": turned}).left] == ["flange"]


def test_an_earlier_state_gives_way_to_a_later_one_on_either_side(ours: str, tmp_path: Path) -> None:
    theirs = make(tmp_path, "theirs", OURS)
    write_record(theirs, {**BUILD, "name": "Drover, second try"}, by="Lee", origin="test")
    write_record(ours, {**PAN, "name": "Deep pan, new name"}, by="Kim", origin="test")
    found = merge(ours, [theirs], by="Kim")
    assert found.theirs_newer == (("build", "drover"),)
    assert found.ours_newer == (("pan", "deep"),)
    assert found.left == ()
    assert stored(ours, "build", "drover")["name"] == "Drover, second try"
    assert stored(ours, "pan", "deep")["name"] == "Deep pan, new name"


def test_builds_that_both_changed_are_left_whole(ours: str, tmp_path: Path) -> None:
    found = joined(ours, tmp_path, {**BUILD, "roles": {"pan": "deep", "pickup": "long"}})
    assert [(one.kind, one.field) for one in found.left] == [("build", "roles")]
    assert stored(ours, "build", "drover") == BUILD


def test_a_second_finder_is_a_voice_more(ours: str, tmp_path: Path) -> None:
    theirs = {**CLASH, "by": "Lee", "symptom": "dry pump", "evidence": [{"text": "foot marks"}], "cause": "too long"}
    found = joined(ours, tmp_path, theirs)
    assert found.reports == (("shallow", "Lee"),)
    record = stored(ours, "incompatibility", "shallow")
    said = "Long pickup, shallow pan: dry pump\ncause: too long"
    assert record["reports"] == [{"by": "Lee", "date": "2024-05-02", "text": said}]
    assert (record["symptom"], record["cause"], record["evidence"]) == ("no oil", "too long", [{"text": "foot marks"}])
    assert joined(ours, tmp_path, theirs).same == (("incompatibility", "shallow"),)


def test_the_same_clash_under_another_name_joins_ours(ours: str, tmp_path: Path) -> None:
    review = {"status": "refuted", "by": "Ash", "date": "2024-08-01", "reason": "ran 2000 km"}
    theirs = {**CLASH, "id": "pickup-too-long", "by": "Lee", "status": "refuted", "reviews": [review]}
    found = joined(ours, tmp_path, theirs)
    assert found.twins == (("incompatibility", "pickup-too-long", "shallow"),)
    record = stored(ours, "incompatibility", "shallow")
    assert [(each["by"], each.get("agrees", True)) for each in record["reports"]] == [("Lee", True), ("Ash", False)]
    assert record.get("status", "reported") == "reported"
    again = joined(ours, tmp_path, theirs)
    assert (again.reports, again.same) == ((), (("incompatibility", "shallow"),))


def test_a_review_is_taken_where_we_had_none_and_never_turns_ours_round(ours: str, tmp_path: Path) -> None:
    review = {"status": "confirmed", "by": "Ash", "date": "2024-08-01", "reason": "mine too"}
    theirs = {**CLASH, "status": "confirmed", "reviews": [review]}
    joined(ours, tmp_path, theirs)
    assert stored(ours, "incompatibility", "shallow")["status"] == "confirmed"
    against = {"status": "refuted", "by": "Lee", "date": "2024-09-01", "reason": "no"}
    found = joined(ours, tmp_path, {**CLASH, "status": "refuted", "reviews": [against]})
    (left,) = found.left
    assert (left.field, left.ours) == ("status", "confirmed")
    assert "incompat confirm (or refute) shallow" in left.step
    record = stored(ours, "incompatibility", "shallow")
    assert (record["status"], record["reviews"]) == ("confirmed", [against, review])
    assert {each.by: each.agrees for each in voices_of(record)} == {"Sam": True, "Ash": True, "Lee": False}
    again = {**CLASH, "status": "refuted", "reviews": [against]}
    assert joined(ours, tmp_path, again).left == found.left  # until somebody judges again
    set_status(ours, "shallow", "confirmed", by="Kim", reason="seen on both")
    assert joined(ours, tmp_path, again).left == ()


def test_whose_review_decides_can_be_said(ours: str, tmp_path: Path) -> None:
    review = {"status": "confirmed", "by": "Ash", "date": "2024-08-01", "reason": "mine too"}
    against = {"status": "refuted", "by": "Lee", "date": "2024-07-01", "reason": "no"}
    joined(ours, tmp_path, {**CLASH, "status": "confirmed", "reviews": [review]})
    theirs = {**CLASH, "status": "refuted", "reviews": [against]}
    assert joined(ours, tmp_path, theirs, take={"shallow": "theirs"}).left == ()
    record = stored(ours, "incompatibility", "shallow")
    assert (record["status"], record["reviews"]) == ("refuted", [review, against])


def test_the_same_parts_with_another_harm_are_another_clash(ours: str, tmp_path: Path) -> None:
    theirs = {**CLASH, "id": "weeps", "harm": ["leaks"], "milestone": "drive", "by": "Lee"}
    found = joined(ours, tmp_path, theirs)
    assert found.added == (("incompatibility", "weeps"),)
    assert found.alike == (("incompatibility", "weeps", "shallow"),)
    assert "reports" not in stored(ours, "incompatibility", "shallow")


def test_two_people_s_readings_under_one_counted_id_are_both_kept(ours: str, tmp_path: Path) -> None:
    theirs = {**GAUGE, "by": "Lee", "value": "2 bar"}
    found = joined(ours, tmp_path, theirs)
    assert found.renamed == (("reading", "drover-1", "drover-1-lee"),)
    assert found.left == ()
    assert stored(ours, "reading", "drover-1")["value"] == "3 bar"
    assert stored(ours, "reading", "drover-1-lee")["value"] == "2 bar"
    before = content_hash(ours)
    again = joined(ours, tmp_path, theirs)
    assert (again.renamed, again.added) == ((), ())
    assert content_hash(ours) == before


def test_a_note_joins_the_same_reading_and_figures_of_two_never_mix(ours: str, tmp_path: Path) -> None:
    joined(ours, tmp_path, {**GAUGE, "id": "copy", "note": "needle shook"})
    assert stored(ours, "reading", "drover-1") == {**GAUGE, "note": "needle shook"}
    found = joined(ours, tmp_path, {**GAUGE, "value": "2 bar", "speed": "1500 rpm"})
    assert {one.field for one in found.left} == {"value", "speed", "note"}
    assert "speed" not in stored(ours, "reading", "drover-1")


def test_who_both_turned_back_are_told_apart(ours: str, tmp_path: Path) -> None:
    """Ours went from A to B and theirs from B to A: neither is the later state of the other."""
    other = {**BUILD, "name": "Drover, second try"}
    theirs = make(tmp_path, "theirs", [*OURS[:2], other, *OURS[3:]])
    write_record(theirs, BUILD, by="Lee", origin="test")
    write_record(ours, other, by="Kim", origin="test")
    found = merge(ours, [theirs], by="Kim")
    assert (found.ours_newer, found.theirs_newer) == ((), ())
    assert [(one.field, one.ours, one.theirs) for one in found.left] == [("name", "Drover, second try", "Drover")]


def test_another_word_on_the_error_of_one_measurement_is_told_or_filled_in(ours: str, tmp_path: Path) -> None:
    said = {**CALIPER, "value": "190.1 +/- 0.2 mm"}
    found = joined(ours, tmp_path, {**PAN, "sump_depth": said})
    assert (found.joined, [field for _, _, field in found.filled]) == ((), ["sump_depth"])
    assert stored(ours, "pan", "deep")["sump_depth"] == ["190 +/- 1 mm", said]
    more = {**PAN, "sump_depth": {**CALIPER, "value": "190.1 +/- 0.05 mm"}}
    (left,) = joined(ours, tmp_path, more).left
    assert (left.field, left.ours, left.theirs) == ("sump_depth", "190.1 +/- 0.2 mm", "190.1 +/- 0.05 mm")
    assert joined(ours, tmp_path, more, take={"deep": "theirs"}).left == ()
    assert stored(ours, "pan", "deep")["sump_depth"][1]["value"] == "190.1 +/- 0.05 mm"


def test_where_each_set_aside_what_the_other_believes_ours_stays_and_it_is_told(ours: str, tmp_path: Path) -> None:
    one, two = ({"value": f"{mm} mm", "with": "caliper", "by": "Sam", "date": "2024-05-01"} for mm in (180, 190))
    write_record(ours, {**PAN, "sump_depth": [one, {**two, "supersedes": True}]}, by="Kim", origin="test")
    theirs = {**PAN, "sump_depth": [two, {**one, "supersedes": True}]}
    (left,) = joined(ours, tmp_path, theirs).left
    assert (left.field, left.ours, left.theirs) == ("sump_depth", "190 mm", "180 mm")
    with Base(ours) as kb:
        assert [each.text for each in kb.part("deep").facts["sump_depth"].readings] == ["190 mm"]
    assert joined(ours, tmp_path, theirs, take={"deep": "theirs"}).left == ()
    with Base(ours) as kb:
        assert [each.text for each in kb.part("deep").facts["sump_depth"].readings] == ["180 mm"]


@pytest.mark.parametrize(
    ("mine", "theirs", "both"),
    [
        ("abd", "abcd", "abcd"),
        ("abe", "xaby", None),  # e and y both come after b
        ("ab", "xab", "xab"),
        ("apbc", "abqc", "apbqc"),
        ("apb", "aqb", None),
        ("ab", "ba", None),
        ("ab", "cd", None),
    ],
)
def test_entries_are_put_in_order_where_nothing_has_to_be_guessed(mine: str, theirs: str, both: str | None) -> None:
    def entries(ids: str) -> list[dict[str, str]]:
        return [{"id": each.upper(), "height": "0.1 mm"} for each in ids]

    found = merged({**PAN, "flange": entries(mine)}, {**PAN, "flange": entries(theirs)})
    assert "".join(each["id"] for each in found.record["flange"]).lower() == (both or mine)
    assert len(found.left) == (both is None)


def test_what_each_of_two_people_ticked_is_ticked() -> None:
    def done(*items: str) -> dict[str, Any]:
        ticked = [{"id": item, "date": "2024-05-01", "by": "Sam"} for item in items]
        return {"kind": "first_start", "id": "f", "name": "F", **dict.fromkeys(items, True), "ticked": ticked}

    found = merged(done(*FLAGS[:2]), done(FLAGS[0], FLAGS[2]))
    assert found.left == ()
    assert [each["id"] for each in found.record["ticked"]] == FLAGS[:3]
    assert found.record[FLAGS[2]] is True


def test_donors_and_gauge_readings(ours: str, tmp_path: Path) -> None:
    donor = {**DONOR, "seen": "2024-07-01", "carries": ["deep", "long"]}
    again = {**GAUGE, "id": "my-first"}
    other = {**GAUGE, "value": "2 bar"}
    found = joined(ours, tmp_path, donor, again, {**other, "id": "my-second"})
    assert found.added == (("reading", "my-second"),)
    assert found.same == (("reading", "drover-1"),)
    record = stored(ours, "donor", "row-9")
    assert (record["seen"], record["carries"]) == ("2024-07-01", ["long", "deep"])
    assert [one.field for one in joined(ours, tmp_path, other).left] == ["value"]


def test_pictures_come_along_from_a_database(ours: str, tmp_path: Path) -> None:
    theirs = make(tmp_path, "theirs", OURS)
    name = photos.put(theirs, PNG)
    write_record(theirs, {**CLASH, "evidence": [{"text": "see", "photo": name}]}, by="x", origin="test")
    assert merge(ours, [theirs], by="Kim").pictures == 1
    assert photos.get(ours, name)[0] == PNG


def test_pictures_go_out_with_a_dump_and_come_in_with_a_load_or_a_merge(ours: str, tmp_path: Path) -> None:
    theirs = make(tmp_path, "theirs", OURS)
    name = photos.put(theirs, PNG)
    write_record(theirs, {**CLASH, "evidence": [{"text": "see", "photo": name}]}, by="x", origin="test")
    photos.put(theirs, JPEG)  # no record names it
    out = tmp_path / "out"
    done = dump(theirs, out)
    assert (done.pictures, [each.name for each in (out / "photos").iterdir()]) == (1, [name])
    assert "1 picture in photos/" in str(done)
    third = str(tmp_path / "third.db")
    init(third)
    report = load(third, [out], by="x")
    assert (report.pictures, report.skipped, photos.kept(third)) == (1, [], {name})
    assert content_hash(third) == content_hash(theirs)
    assert merge(ours, [out], by="Kim").pictures == 1
    assert photos.get(ours, name)[0] == PNG
    (out / "photos" / name).write_bytes(JPEG)  # no longer what its name says
    fourth = str(tmp_path / "fourth.db")
    init(fourth)
    assert load(fourth, [out], by="x").pictures == 0
    assert photos.kept(fourth) == set()


def test_a_folder_without_records_is_told(ours: str, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    with pytest.raises(Fault, match="no record is there"):
        merge(ours, [tmp_path / "empty"], by="Kim")


def test_a_try_writes_nothing(ours: str, tmp_path: Path) -> None:
    before = content_hash(ours)
    found = joined(ours, tmp_path, {"kind": "pan", "id": "other", "name": "Other"}, try_only=True)
    assert (found.added, found.tried) == ((("pan", "other"),), True)
    assert "nothing was written" in as_text(found)
    assert as_json(found)["written"] is False
    assert content_hash(ours) == before


def test_what_a_merge_refuses_changes_nothing(ours: str, tmp_path: Path) -> None:
    before = content_hash(ours)
    with pytest.raises(Faults, match="did you mean sump_depth"):
        joined(ours, tmp_path, {"kind": "pan", "id": "other", "name": "Other", "sump_dept": "1 mm"})
    with pytest.raises(Faults, match="there is no pan"):
        joined(ours, tmp_path, PICKUP, {**BUILD, "id": "b2", "roles": {"pan": "nothing"}})
    with pytest.raises(UnknownName, match="record of theirs"):
        joined(ours, tmp_path, PAN, take={"pan/shallow": "theirs"})
    with pytest.raises(UnknownName, match="side to take"):
        joined(ours, tmp_path, PAN, take={"pan/deep": "thiers"})
    with pytest.raises(Fault):
        merge(ours, [tmp_path / "nothing"], by="x")
    assert content_hash(ours) == before


def test_a_record_that_was_removed_here_comes_back_only_as_theirs(ours: str, tmp_path: Path) -> None:
    remove(ours, "reading", "drover-1", by="Kim")
    assert joined(ours, tmp_path, GAUGE).added == (("reading", "drover-1"),)


def test_set_status_after_a_merge_still_works(ours: str, tmp_path: Path) -> None:
    joined(ours, tmp_path, {**CLASH, "by": "Lee"})
    set_status(ours, "shallow", "confirmed", by="Kim", reason="saw it")
    assert stored(ours, "incompatibility", "shallow")["status"] == "confirmed"


VALUES = st.sampled_from(["190 mm", "190.1 mm", "182 mm", "191 +/- 1 mm"])
READING = st.fixed_dictionaries(
    {"value": VALUES, "with": st.sampled_from(["caliper", "tape"]), "by": st.sampled_from(["Sam", "Lee"])},
    optional={"supersedes": st.booleans()},
)
PANS = st.fixed_dictionaries(
    {"kind": st.just("pan"), "id": st.just("p"), "name": st.sampled_from(["A", "B"])},
    optional={
        "sump_depth": st.lists(READING, min_size=1, max_size=4),
        "rear_seal": st.sampled_from(["one_piece", "two_piece"]),
        "price": st.integers(1, 3),
    },
)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(ours=PANS, theirs=PANS)
def test_joining_twice_is_joining_once_and_loses_nothing_of_ours(ours: dict[str, Any], theirs: dict[str, Any]) -> None:
    once = merged(ours, theirs).record
    assert merged(once, theirs).record == once
    part_of(once)  # it is a good record
    for name in ("name", "rear_seal", "price"):
        assert once.get(name) == ours.get(name, theirs.get(name))

    def keys(record: dict[str, Any]) -> set[tuple[str, ...]]:
        return {(one["value"], one["with"], one["by"]) for one in record.get("sump_depth", ())}

    assert keys(once) == keys(ours) | keys(theirs)


def believed(record: dict[str, Any]) -> set[tuple[str, str]]:
    facts = part_of(record).facts.get("sump_depth")
    return {(one.text, one.instrument, one.by) for one in facts.readings} if facts else set()


def set_aside(record: dict[str, Any]) -> set[tuple[Any, ...]]:
    several = record.get("sump_depth", [])
    at = max((at for at, each in enumerate(several) if each.get("supersedes")), default=0)

    def keys(some: list[Any]) -> set[tuple[Any, ...]]:
        return {(each["value"], each["with"], each["by"]) for each in some}

    return keys(several[:at]) - keys(several[at:])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(records=st.lists(PANS, min_size=3, max_size=3))
def test_whoever_joins_whose_the_same_readings_are_believed(records: list[dict[str, Any]]) -> None:
    """What anybody set aside is set aside, in whatever order three people join; unless nothing is left to believe."""
    every = {(each["value"], each["with"], each["by"]) for one in records for each in one.get("sump_depth", ())}
    expected = every - set().union(*map(set_aside, records))
    for way in permutations(records):
        made = merged(merged(way[0], way[1]).record, way[2]).record
        told = {(each["value"], each["with"], each["by"]) for each in made.get("sump_depth", ())}
        assert told == every
        if expected and not _crossed(way):
            assert believed(made) == expected


def _crossed(way: tuple[dict[str, Any], ...]) -> bool:
    """Whether two of them set aside all that either believes, so that ours has to stay."""
    first = merged(way[0], way[1])
    pairs = [(way[0], way[1]), (first.record, way[2])]
    for one, two in pairs:
        every = {(e["value"], e["with"], e["by"]) for each in (one, two) for e in each.get("sump_depth", ())}
        if every and every <= set_aside(one) | set_aside(two):
            return True
    return False


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(data=st.data())
def test_any_two_records_of_one_part_join_into_a_good_one_and_joining_again_adds_nothing(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from([*KINDS]))
    ours, theirs = ({**data.draw(parts(kind)), "id": "p"} for _ in range(2))
    take = data.draw(st.sampled_from(["", "ours", "theirs"]))
    once = merged(ours, theirs, take)
    normalise(once.record)
    again = merged(once.record, theirs, take)
    assert again.record == once.record
    assert again.joined == ()
    assert merged(ours, ours).record == ours
    if take:
        assert once.left == ()
