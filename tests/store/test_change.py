"""Filling roles, ticking items, taking readings, noting gauges: what is written, by whom, and what is refused."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from store_records import ALL, BUILD

from kb.base import Base
from kb.errors import Fault, Faults, UnknownName
from kb.store.change import add_gauge_reading, fill, take_reading, tick
from kb.store.dump import content_hash
from kb.store.load import init, load
from kb.store.read import RoleEntry

OTHER = {"kind": "build", "id": "second", "name": "Second", "roles": {"pickup": "long-pickup"}}
STATIONS = {"kind": "block", "id": "v6", "name": "V6", "stations": [{"id": "R4"}]}


@pytest.fixture
def base(tmp_path: Path) -> str:
    path = str(tmp_path / "kb.db")
    init(path)
    fresh = {"kind": "build", "id": "fresh", "name": "Fresh", "roles": {"block": "v6"}}
    plain = {name: value for name, value in BUILD.items() if name != "own_limits"}  # that names no rule of ours
    records = [*(plain if each is BUILD else each for each in ALL), OTHER, STATIONS, fresh]
    (tmp_path / "all.json").write_text(json.dumps(records), encoding="utf-8")
    load(path, [tmp_path / "all.json"], by="tester")
    return path


def history(path: str) -> list[tuple[str, str, str, str]]:
    con = sqlite3.connect(path)
    try:
        return con.execute("SELECT by, kind, record, action FROM history WHERE by <> 'tester' ORDER BY id").fetchall()
    finally:
        con.close()


def refused(path: str, doing: Callable[[], Any], words: str) -> None:
    """The fault says these words and a next step, and nothing at all has changed."""
    before = content_hash(path)
    with pytest.raises(Fault) as caught:
        doing()
    assert words in str(caught.value)
    faults = caught.value.faults if isinstance(caught.value, Faults) else (caught.value,)
    assert all(fault.step for fault in faults)
    assert content_hash(path) == before
    assert history(path) == []


def test_a_role_is_filled_and_an_owned_part_that_gives_way_stays_an_alternative(base: str) -> None:
    write = {"pan": "deep-pan", "pickup": None}
    change = fill(base, "drover", write, by="Sam")
    assert (change.kind, change.id, change.action) == ("build", "drover", "change")
    assert history(base) == [("Sam", "build", "drover", "change")]
    with Base(base) as kb:
        record = kb.record_of("drover")
    assert record.roles == {"pan": RoleEntry("deep-pan")}
    # my-pan was not owned in the role; as an alternative it is, and stays there. The owned pickup joins them.
    assert record.alternatives == {
        "pan": (RoleEntry("my-pan", True, 0.0, "spare"),), "pickup": (RoleEntry("long-pickup", True, 30.0),),
    }  # fmt: skip
    fill(base, "drover", {"pan": "my-pan", "pickup": "long-pickup"}, owned={"pickup"}, by="Sam")
    with Base(base) as kb:
        record = kb.record_of("drover")
    assert record.roles == {
        "pan": RoleEntry("my-pan", False, 0.0, "spare"),
        "pickup": RoleEntry("long-pickup", True, 30.0),
    }
    assert record.alternatives == {}


def test_what_fill_refuses(base: str) -> None:
    refused(base, lambda: fill(base, "dorver", {"pan": "deep-pan"}, by="x"), "did you mean drover")
    refused(base, lambda: fill(base, "drover", {"pam": "deep-pan"}, by="x"), "there is no role")
    refused(base, lambda: fill(base, "drover", {"pan": "deep-pam"}, by="x"), "did you mean deep-pan")
    refused(base, lambda: fill(base, "drover", {"pan": "long-pickup"}, by="x"), "is of kind pickup, not pan")
    refused(base, lambda: fill(base, "drover", {"pan": "deep-pan", "pickup": "nix"}, by="x"), "there is no pickup")
    refused(base, lambda: fill(base, "drover", {"block": None}, by="x"), "no part fills the role block")
    refused(base, lambda: fill(base, "drover", {}, by="x"), "no role is named")


def test_a_tick_makes_the_list_of_the_build_and_says_who_and_when(base: str) -> None:
    done = tick(base, "drover", "oil_counted", by="Sam", date="2024-05-31", note="4.5 L")
    assert (done.part, done.made) == ("drover-first-start", True)
    tick(base, "drover", "first_start.brakes_work", by="Kim", date="2024-06-01")
    tick(base, "drover", "oil_counted", False, by="Kim", date="2024-06-02", note="drained again")
    with Base(base) as kb:
        part = kb.build("drover").parts["first_start"]
        assert kb.record_of("drover").roles["first_start"] == RoleEntry("drover-first-start", True)
    assert (part.facts["oil_counted"], part.facts["brakes_work"]) == (False, True)
    assert part.facts["ticked"] == (
        {"id": "brakes_work", "date": "2024-06-01", "by": "Kim"},
        {"id": "oil_counted", "date": "2024-06-02", "by": "Kim", "note": "drained again"},
    )
    assert history(base) == [
        ("Sam", "first_start", "drover-first-start", "add"), ("Sam", "build", "drover", "change"),
        ("Kim", "first_start", "drover-first-start", "change"), ("Kim", "first_start", "drover-first-start", "change"),
    ]  # fmt: skip


def test_small_parts_are_ticked_one_by_one(base: str) -> None:
    tick(base, "drover", "pan_gasket", by="Sam")
    tick(base, "drover", "bell_dowels", by="Sam")
    tick(base, "drover", "pan_gasket", False, by="Sam")
    with Base(base) as kb:
        part = kb.build("drover").parts["small_parts"]
    assert part.facts["have"] == {"bell_dowels"}
    assert [each["id"] for each in part.facts["ticked"]] == ["bell_dowels", "pan_gasket"]


def test_a_list_that_another_build_uses_is_copied_before_it_is_ticked(base: str) -> None:
    tick(base, "drover", "oil_counted", by="Sam")
    fill(base, "second", {"first_start": "drover-first-start"}, by="Sam")
    done = tick(base, "second", "brakes_work", by="Kim")
    assert (done.part, done.made) == ("second-first-start", True)
    with Base(base) as kb:
        first, second = (kb.build(each).parts["first_start"].facts for each in ("drover", "second"))
    assert (first["oil_counted"], first.get("brakes_work")) == (True, None)
    assert (second["oil_counted"], second["brakes_work"]) == (True, True)


def test_what_tick_refuses(base: str) -> None:
    refused(base, lambda: tick(base, "dorver", "oil_counted", by="x"), "did you mean drover")
    refused(base, lambda: tick(base, "drover", "oil_cuonted", by="x"), "did you mean oil_counted")


def test_a_reading_joins_those_of_the_part_that_is_the_builds_own(base: str) -> None:
    done = take_reading(base, "drover", "pan.sump_depth", "189.4 mm", tool="depth-gauge", by="Kim", date="2024-06-01")
    assert (done.part, done.made) == ("my-pan", False)
    with Base(base) as kb:
        readings = kb.part("my-pan").facts["sump_depth"].readings
    # The listing's figure of the model, Sam's on the bench, and this one.
    assert [(one.text, one.how, one.instrument, one.by, one.date) for one in readings] == [
        ("190 +/- 1 mm", "listing", "", "", ""),
        ("189.6 mm", "measured", "my-caliper", "Sam", "2024-05-31"),
        ("189.4 mm", "measured", "depth-gauge", "Kim", "2024-06-01"),
    ]
    assert history(base) == [("Kim", "pan", "my-pan", "change")]


def test_a_reading_can_set_the_earlier_ones_aside(base: str) -> None:
    take_reading(base, "drover", "pan.sump_depth", "151 mm +/- 1 mm", by="Kim", note="cut down", supersedes=True)
    with Base(base) as kb:
        (reading,) = kb.part("my-pan").facts["sump_depth"].readings
    assert (reading.value, reading.how, reading.by) == (pytest.approx(0.151), "measured", "Kim")


def test_a_reading_of_a_model_makes_the_part_on_the_bench(base: str) -> None:
    done = take_reading(base, "drover", "pickup.hang", "184.2 mm", tool="caliper", by="Kim")  # second uses it too
    assert (done.part, done.made) == ("drover-pickup", True)
    with Base(base) as kb:
        assert kb.record_of("drover").roles["pickup"] == RoleEntry("drover-pickup", True, 30.0)
        assert kb.part("drover-pickup").based_on == "long-pickup"
        assert [one.text for one in kb.part("drover-pickup").facts["hang"].readings] == ["185 mm", "184.2 mm"]
        assert [one.text for one in kb.part("long-pickup").facts["hang"].readings] == ["185 mm"]
        assert kb.record_of("second").roles["pickup"].part == "long-pickup"
    again = take_reading(base, "drover", "pickup.bends", "3", tool="", by="Kim")
    assert (again.part, again.made) == ("drover-pickup", False)
    with Base(base) as kb:
        assert kb.part("drover-pickup").facts["bends"] == 3
    assert history(base) == [
        ("Kim", "pickup", "drover-pickup", "add"), ("Kim", "build", "drover", "change"),
        ("Kim", "pickup", "drover-pickup", "change"),
    ]  # fmt: skip


def test_a_part_that_is_neither_owned_nor_its_own_is_a_model(base: str) -> None:
    done = take_reading(base, "fresh", "block.rail_pattern", "late", by="Kim")
    assert (done.part, done.made) == ("fresh-block", True)
    with Base(base) as kb:
        assert kb.build("fresh").parts["block"].facts["rail_pattern"] == "late"


def test_an_entry_of_a_list_is_measured(base: str) -> None:
    take_reading(base, "drover", "pan.flange.R2.height", "0.1 mm", tool="feeler", by="Kim", supersedes=True)
    take_reading(base, "drover", "pan.ports.rear-feed.bore", "11.9 mm", tool="caliper", by="Kim")
    with Base(base) as kb:
        facts = kb.part("my-pan").facts
    assert {each["id"]: each["height"].value for each in facts["flange"]} == pytest.approx({"R1": 1e-4, "R2": 1e-4})
    assert [one.text for one in facts["ports"][0]["bore"].readings] == ["12 mm", "11.9 mm"]


def test_an_entry_that_only_the_other_part_has_is_taken_too(base: str) -> None:
    fill(base, "drover", {"block": "v6"}, by="Sam")
    take_reading(
        base, "drover", "pan.flange.R4.height", "0.2 mm", tool="feeler", by="Kim"
    )  # the block has a station R4
    with Base(base) as kb:
        assert {each["id"] for each in kb.part("my-pan").facts["flange"]} == {"R1", "R2", "R4"}


@pytest.mark.parametrize(
    ("build", "where", "text", "tool", "words"),
    [
        ("dorver", "pan.sump_depth", "190 mm", "", "did you mean drover"),
        ("drover", "pam.sump_depth", "190 mm", "", "there is no role"),
        ("drover", "pan.sump_dept", "190 mm", "", "did you mean sump_depth"),
        ("drover", "pan", "190 mm", "", "there is no feature"),
        ("drover", "block.rail_pattern", "late", "", "no part fills the role block"),
        ("drover", "pan.sump_depth", "190", "", "has no unit"),
        ("drover", "pan.sump_depth", "19 m", "", "absurd"),
        ("drover", "pan.sump_depth", "3 bar", "", "where a length is due"),
        ("drover", "pan.sump_depth", "190 mm", "depth-guage", "did you mean depth-gauge"),
        ("drover", "pan.sump_depth", "190 mm", "pressure-gauge", "does not read a length"),
        ("drover", "pan.sump_depth.R1", "190 mm", "", "has no entries"),
        ("drover", "pan.flange", "0.1 mm", "", "takes no single value"),
        ("drover", "pan.flange.R2", "0.1 mm", "", "field of flange"),
        ("drover", "pan.flange.R9.height", "0.1 mm", "", "no entry of flange"),
        ("drover", "pan.flange.R2.depth", "0.1 mm", "", "no field of flange"),
        ("drover", "pickup.brace", "maybe", "", "neither true nor false"),
        ("drover", "pickup.bends", "-2", "", "bends"),
        ("drover", "pan.rear_seal", "one_pice", "", "none of its choices"),
        ("drover", "pan.rail_pattern", "lte", "", "there is no term"),
    ],
)
def test_what_a_reading_is_refused_for(base: str, build: str, where: str, text: str, tool: str, words: str) -> None:
    refused(base, lambda: take_reading(base, build, where, text, tool=tool, by="x"), words)


def test_a_gauge_is_noted_with_an_id_of_its_own(base: str) -> None:
    record = {"build": "drover", "place": "oil-gallery", "value": "2 bar", "state": "primed", "with": "pressure-gauge"}
    first = add_gauge_reading(base, record, by="Kim")
    second = add_gauge_reading(base, {**record, "value": "none", "date": "2024-06-02"}, by="Kim")
    assert (first.id, second.id) == ("drover-oil-gallery", "drover-oil-gallery-2")
    with Base(base) as kb:
        found = {each.id: each for each in kb.readings("drover")}
    assert found[first.id].value == pytest.approx(2e5)
    assert (found[second.id].value, found[second.id].by, found[second.id].date) == ("none", "Kim", "2024-06-02")
    assert history(base)[0] == ("Kim", "reading", "drover-oil-gallery", "add")


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"build": "dorver"}, "did you mean drover"),
        ({"place": "oil-galery"}, "did you mean oil-gallery"),
        ({"value": "20"}, "has no unit"),
        ({"id": "drover-1"}, "is taken"),
        ({"sate": "primed"}, "did you mean state"),
        ({"build": 3}, "where a text is due"),
    ],
)
def test_what_a_gauge_reading_is_refused_for(base: str, more: dict[str, Any], words: str) -> None:
    record = {"build": "drover", "place": "oil-gallery", "value": "2 bar", "state": "primed", **more}
    refused(base, lambda: add_gauge_reading(base, record, by="x"), words)


def test_unknown_names_are_unknown_names(base: str) -> None:
    with pytest.raises(UnknownName):
        tick(base, "drover", "nothing_such", by="x")
