"""Readings of a part that a build does not have yet: whose record gets them, and what the build says of it then."""

from __future__ import annotations

from pathlib import Path

import pytest

from kb.base import Base
from kb.errors import Fault, Faults, UnknownName
from kb.store.change import take_reading
from kb.store.dump import content_hash
from kb.store.held import note_unnamed, take_reading_of
from kb.store.read import RoleEntry
from kb.store.write import write_record
from tests.web import small

DEPTH = "pan.sump_depth"


@pytest.fixture
def base(tmp_path: Path) -> str:
    return small.make(tmp_path)


def considered(path: str) -> list[str]:
    with Base(path) as base:
        return [each.part for each in base.record_of("drover").alternatives.get("pan", ())]


def depth(path: str, part: str) -> float:
    with Base(path) as base:
        return float(base.part(part).facts["sump_depth"].value)


def test_a_model_gives_a_part_of_its_own_that_the_build_considers(base: str) -> None:
    done = take_reading_of(base, "drover", "deep-pan", DEPTH, "189 mm", tool="depth-gauge", by="sam", supersedes=True)
    assert (done.part, done.made) == ("drover-pan", True)
    with Base(base) as opened:
        assert opened.part("drover-pan").based_on == "deep-pan"
        assert opened.record_of("drover").roles["pan"] == RoleEntry("my-pan")  # still in its place
    assert considered(base) == ["drover-pan"]
    assert depth(base, "drover-pan") == pytest.approx(0.189)  # what was typed; older readings are set aside
    # Two readings of the model, weighted by inverse variance: 190.08 mm (derived from the definition).
    assert depth(base, "deep-pan") == pytest.approx(0.19008)


def test_the_next_reading_of_it_goes_into_the_same_record(base: str) -> None:
    take_reading_of(base, "drover", "deep-pan", DEPTH, "189 mm", tool="depth-gauge", by="sam")
    done = take_reading_of(base, "drover", "drover-pan", "pan.flange.R1.height", "0.2 mm", by="sam")
    assert (done.part, done.made) == ("drover-pan", False)
    assert considered(base) == ["drover-pan"]
    with Base(base) as opened:
        assert [each["id"] for each in opened.part("drover-pan").facts["flange"]] == ["R1"]


def test_what_is_in_the_build_is_measured_there(base: str, tmp_path: Path) -> None:
    (tmp_path / "other").mkdir()
    other = small.make(tmp_path / "other")
    done = take_reading_of(base, "drover", "my-pan", DEPTH, "189 mm", tool="depth-gauge", by="sam", date="2026-01-02")
    same = take_reading(other, "drover", DEPTH, "189 mm", tool="depth-gauge", by="sam", date="2026-01-02")
    assert (done.part, done.made) == (same.part, same.made) == ("my-pan", False)
    assert considered(base) == considered(other) == []


def test_a_part_without_a_name_begins_bare_and_is_measured_itself(base: str) -> None:
    id = note_unnamed(base, "drover", "pan", "Pan on the top shelf", by="sam")
    assert id == "drover-pan"
    assert considered(base) == [id]
    for text in ("189 mm", "189.1 mm"):
        done = take_reading_of(base, "drover", id, DEPTH, text, tool="depth-gauge", by="sam")
        assert (done.part, done.made) == (id, False)
    # One person with one instrument: the plain mean of 189 and 189.1 mm (hand sum).
    assert depth(base, id) == pytest.approx(0.18905)
    assert considered(base) == [id]


def test_a_part_with_a_figure_from_a_listing_is_a_model(base: str) -> None:
    write_record(base, {"kind": "pan", "id": "listed", "name": "Listed", "sump_depth": "188 mm"}, by="t", origin="t")
    assert take_reading_of(base, "drover", "listed", DEPTH, "189 mm", tool="depth-gauge", by="sam").made


@pytest.mark.parametrize(
    ("part", "where", "text", "fault", "words"),
    [
        ("deep-pan", "pan.depth", "1 mm", UnknownName, "depth"),
        ("nothing", DEPTH, "1 mm", UnknownName, "nothing"),
        ("short-tube", DEPTH, "189 mm", Fault, "short-tube"),
        ("deep-pan", DEPTH, "189", Faults, "no unit"),
        ("deep-pan", "pan.flange.X9.height", "1 mm", UnknownName, "X9"),
        ("", DEPTH, "189 mm", Fault, "no part"),
    ],
)
def test_what_makes_no_sense_writes_nothing(
    base: str, part: str, where: str, text: str, fault: type[Fault], words: str
) -> None:
    before = content_hash(base)
    with pytest.raises(fault, match=words) as caught:
        take_reading_of(base, "drover", part, where, text, by="sam")
    assert caught.value.message
    assert content_hash(base) == before


@pytest.mark.parametrize(("build", "role"), [("nothing", "pan"), ("drover", "pann")])
def test_a_record_begins_only_for_what_there_is(base: str, build: str, role: str) -> None:
    before = content_hash(base)
    with pytest.raises(UnknownName):
        note_unnamed(base, build, role, "Pan", by="sam")
    assert content_hash(base) == before
