"""One reading of a part: what is written, and what it changes."""

from __future__ import annotations

from pathlib import Path

import pytest

from kb.base import Base
from kb.errors import Fault, Faults, UnknownName
from kb.measure import Dimension
from kb.part_reading import measurable, measure_part
from kb.store import photos, read
from kb.store.dump import dump
from kb.store.load import init, load
from kb.store.part_reading import take_part_reading
from tests.pictures import PNG
from tests.web import small


@pytest.fixture
def path(tmp_path: Path) -> str:
    return small.make(tmp_path)


def facts(path: str, part: str) -> dict[str, object]:
    with Base(path) as base:
        return dict(base.part(part).facts)


def test_a_reading_turns_the_verdict_of_the_builds_that_use_the_part(path: str) -> None:
    # 182.1 + 2 - 184 = 0.1 mm of gap, well outside the limits (hand sum of tests/web/small.py).
    outcome = measure_part(
        path, "deep-pan", "sump_depth", "182.1 mm", builds=["drover"], tool="depth-gauge", by="E. Marsh",
        supersedes=True,
    )  # fmt: skip
    assert isinstance(outcome.before, Dimension)
    assert outcome.before.value == pytest.approx(0.19, abs=1e-4)  # the readings of tests/web/small.py
    assert outcome.after.value == pytest.approx(0.1821)
    ((id, found),) = outcome.builds
    assert (id, found.after.verdict) == ("drover", "does not fit")
    assert [each.name for each in found.of("worse")] == ["pickup-floor-gap"]
    # The build's pickup under the pan, and its gasket over that very pickup.
    assert {(each.role, each.part.id, each.after) for each in outcome.turns} == {
        ("pickup", "short-tube", "does not fit"),
        ("pan_gasket", "thin-gasket", "does not fit"),
    }


def test_a_choice_takes_its_note_to_the_notes(path: str) -> None:
    take_part_reading(path, "deep-pan", "rear_seal", "one_piece", by="E. Marsh", date="2024-05-01", note="smooth arch")
    assert facts(path, "deep-pan")["rear_seal"] == "one_piece"
    con = read.open_readonly(path)
    try:
        assert read.record(con, "pan", "deep-pan")["notes"] == "rear seal: smooth arch (E. Marsh, 2024-05-01)"
    finally:
        con.close()


def test_an_entry_that_the_model_has_is_read_on_the_part(path: str) -> None:
    take_part_reading(path, "my-pan", "flange.R1.height", "0.3 mm", tool="depth-gauge", by="E. Marsh")
    (entry,) = facts(path, "my-pan")["flange"]  # type: ignore[misc]
    assert [round(each.value * 1e3, 6) for each in entry["height"].readings] == [0.1, 0.3]
    (model,) = facts(path, "deep-pan")["flange"]  # type: ignore[misc]
    assert len(model["height"].readings) == 1


def test_a_picture_goes_with_the_reading_and_out_with_a_dump(path: str, tmp_path: Path) -> None:
    name = photos.put(path, PNG)
    take_part_reading(path, "short-tube", "hang", "184.1 mm", tool="depth-gauge", by="E. Marsh", photo=name)
    con = read.open_readonly(path)
    try:
        record = read.record(con, "pickup", "short-tube")
    finally:
        con.close()
    assert record["hang"][-1]["photo"] == name
    assert photos.named(record) == [name]
    dump(path, str(tmp_path / "out"))
    other = str(tmp_path / "other.db")
    init(other)
    load(other, [str(tmp_path / "out")], by="tests")
    assert photos.there(other, name)


@pytest.mark.parametrize(
    ("where", "text", "more", "fault"),
    [
        ("sump_dept", "188 mm", {}, UnknownName),
        ("flange.R9.height", "0.1 mm", {}, UnknownName),
        ("flange.R1.depth", "0.1 mm", {}, UnknownName),
        ("flange", "0.1 mm", {}, Fault),
        ("sump_depth", "188", {}, Faults),
        ("sump_depth", "188 kg", {}, Faults),
        ("sump_depth", "188 mm", {"tool": "no-such-tool"}, Faults),
        ("sump_depth", "188 mm", {"photo": f"{'0' * 64}.png"}, Fault),
        ("rear_seal", "one_piece", {"photo": f"{'0' * 64}.png"}, Fault),
        ("rear_seal", "three_piece", {}, Faults),
    ],
)
def test_what_cannot_be_written_changes_nothing(
    path: str, where: str, text: str, more: dict[str, str], fault: type[Fault]
) -> None:
    before = facts(path, "deep-pan")
    with pytest.raises(fault):
        take_part_reading(path, "deep-pan", where, text, by="E. Marsh", **more)
    assert facts(path, "deep-pan") == before


def test_no_value_and_no_part(path: str) -> None:
    with pytest.raises(Fault, match="value is missing"):
        measure_part(path, "deep-pan", "sump_depth", "  ", by="E. Marsh")
    with pytest.raises(UnknownName):
        measure_part(path, "no-such", "sump_depth", "188 mm", by="E. Marsh")


def test_all_that_can_be_measured(path: str) -> None:
    with Base(path) as base:
        paths = [name for name, _ in measurable(base.part("my-pan"))]
    assert {"sump_depth", "rear_seal", "baffled", "flange.R1.height"} <= set(paths)
    assert not {"flange", "flange.R1.id"} & set(paths)
