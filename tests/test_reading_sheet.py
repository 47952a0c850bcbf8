"""Sheets of readings that come back filled in: as text lines and as records; what the store makes of them."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.base import Base
from kb.chance import FITS, OPEN
from kb.errors import Fault, Faults
from kb.reading_sheet import Entry, blank, enter, from_form, load_records, read_file, read_sheet
from kb.say.measure_sheet import as_html, as_sheet
from kb.worth.prospects import after

OPEN_BUILDS = ("drover", "pair-unknown", "pair-contradiction")


def sheet_of(path: str, build: str) -> str:
    with Base(path) as base:
        return as_sheet(base.measure(build))


def filled(sheet: str, where: str, text: str) -> str:
    """The sheet with a figure written into the field of `where`."""
    made, count = re.subn(rf"(\[ \] {re.escape(where)} = )_+ mm", rf"\g<1>{text}", sheet)
    assert count == 1
    return made


@pytest.mark.parametrize("build", OPEN_BUILDS)
def test_a_printed_sheet_without_figures_holds_no_reading(sample: str, build: str) -> None:
    assert read_sheet(sheet_of(sample, build)) == []


@pytest.mark.parametrize("build", OPEN_BUILDS)
def test_a_figure_written_into_the_printed_sheet_is_read(sample: str, build: str) -> None:
    sheet = filled(sheet_of(sample, build), "pan.sump_depth", "189.2 mm")
    (entry,) = read_sheet(sheet)
    assert (entry.where, entry.text, entry.tool) == ("pan.sump_depth", "189.2 mm", "steel-rule")
    assert entry.supersedes == (build == "pair-contradiction")
    assert sheet.splitlines()[entry.line - 1].startswith("[ ] pan.sump_depth")


@pytest.mark.parametrize(
    ("line", "due"),
    [
        ("[x] pan.sump_depth = 188.4 mm  with depth-gauge", ("188.4 mm", "depth-gauge", False)),
        ("pan.sump_depth=7 1/2 in", ("7 1/2 in", "", False)),
        ("- pan.sump_depth = ____188.4____ mm with caliper", ("188.4 mm", "caliper", False)),
        ("pan.sump_depth = 188.4 +/- 0.2 mm", ("188.4 +/- 0.2 mm", "", False)),
        ("[ ] pan.sump_depth = 189 mm with tape  instead of the old readings", ("189 mm", "tape", True)),
        ("[ ] pan.rail_pattern = late (early, late)", ("late", "", False)),
        ("[ ] battery.sealed = yes (yes, no)", ("yes", "", False)),
        ("[ ] hole:alternator.stack = 12 mm with caliper", ("12 mm", "caliper", False)),
        ("[ ] block.stations.R4.height = 0.02 mm", ("0.02 mm", "", False)),
        ("[ ] belt.ribs = 6", ("6", "", False)),
    ],
)
def test_lines_as_people_fill_them_in(line: str, due: tuple[str, str, bool]) -> None:
    (entry,) = read_sheet(line)
    assert (entry.text, entry.tool, entry.supersedes) == due


@pytest.mark.parametrize(
    "line",
    [
        "[ ] pan.sump_depth = ______________ mm  with steel-rule",
        "[ ] pan.sump_depth =  mm with steel-rule",
        "[ ] battery.sealed = ______________ (yes, no)",
        "[ ] belt.ribs = ______________",
    ],
)
def test_lines_left_empty(line: str) -> None:
    assert read_sheet(line) == []


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused_with_words(text: str) -> None:
    try:
        entries = read_sheet(text)
    except Fault as fault:
        entries = []
        words = fault.message and fault.step
    else:
        words = "read"
    assert words
    assert all(each.text and "." in each.where for each in entries)


@pytest.mark.parametrize("build", OPEN_BUILDS)
def test_the_store_makes_of_a_reading_what_its_worth_was_reckoned_with(own: str, build: str) -> None:
    with Base(own) as base:
        (reading,) = base.measure(build, by="E. Marsh").readings
    due = after(reading.leaf, reading.tool, 0.1892, "E. Marsh")
    entry = Entry(reading.name, "189.2 mm", reading.tool.id, reading.supersedes)
    outcome = enter(own, build, [entry], by="E. Marsh", date="2024-05-13")
    have = outcome.comparison.after.build.parts[reading.role].facts[reading.path]
    assert have.value == pytest.approx(due.value, rel=1e-12)
    assert have.terms == due.terms
    assert bool(have.contradiction) == bool(due.contradiction)
    assert [where for where, _ in outcome.against] == ([reading.name] if due.contradiction else [])


def test_entered_readings_move_the_verdict(own: str) -> None:
    outcome = enter(own, "pair-unknown", [Entry("pan.sump_depth", "190 mm", "depth-gauge")], by="E. Marsh")
    moved = {
        each.name: (each.before and each.before.verdict, each.verdict) for each in outcome.comparison.of("decided")
    }
    # 190 + 2.1 - 184.2 = 7.9 mm, allowed 1.5 to 12.7 mm: hand sum
    assert moved["pickup-floor-gap"] == (OPEN, FITS)
    assert outcome.done[0].made  # nobody owns that pan: it is a model
    with Base(own) as base:
        assert base.build("pair-unknown").parts["pan"].id == outcome.done[0].part


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_written(own: str) -> None:
    wrong = [
        Entry("pan.sump_depth", "190 mm", "depth-gauge", line=1),
        Entry("pan.sump_depht", "190 mm", line=2),
        Entry("pan.sump_depth", "deep", line=3),
        Entry("fan.fans", "2", line=4),
        Entry("pan.sump_depth", "190 mm", "ruler-of-mine", line=5),
        Entry("pan.flange.F1.hight", "0 mm", line=6),
        Entry("pan.sump_depth", "?", line=7),
    ]
    with Base(own) as base:
        before = base.build("pair-unknown").parts["pan"]
    with pytest.raises(Faults) as caught:
        enter(own, "pair-unknown", wrong, by="E. Marsh")
    assert [each.place.partition(":")[0] for each in caught.value.faults] == [f"line {line}" for line in range(2, 8)]
    assert all(each.step for each in caught.value.faults)
    with Base(own) as base:
        assert base.build("pair-unknown").parts["pan"] == before


def test_nothing_to_enter(own: str) -> None:
    with pytest.raises(Fault, match="nothing is filled in"):
        enter(own, "drover", [], by="E. Marsh")
    assert from_form([("pan.sump_depth", "  ", "caliper", False)]) == []


@pytest.mark.parametrize("build", OPEN_BUILDS)
def test_records_to_fill_in_load_as_they_are_and_filled(own: str, tmp_path: Path, build: str) -> None:
    with Base(own) as base:
        records = blank(own, build, base.measure(build), by="E. Marsh", date="2024-05-13")
        before = base.check(build)
    path = tmp_path / "readings.yaml"
    path.write_text(records, encoding="utf-8")
    _, unmoved = load_records(own, build, str(path), by="E. Marsh")
    assert unmoved.status == 0
    assert [each.verdict for each in unmoved.after.findings] == [each.verdict for each in before.findings]
    made, count = re.subn(r"^# (\s*(?:- |sump_depth: )\{value:) +mm", r"\1 189.2 mm", records, flags=re.MULTILINE)
    assert count == 1
    path.write_text(made, encoding="utf-8")
    changed, moved = load_records(own, build, str(path), by="E. Marsh")
    assert changed == 1
    with Base(own) as base:
        dimension = base.build(build).parts["pan"].facts["sump_depth"]
        last = dimension.readings[-1]
        assert (last.text, last.instrument, last.by, last.date) == ("189.2 mm", "steel-rule", "E. Marsh", "2024-05-13")
    if build != "drover":  # there the new figure contradicts what was read at the gate
        assert [each.name for each in moved.of("decided")]


def test_records_of_a_list_and_of_choices_can_be_filled_in(own: str, tmp_path: Path) -> None:
    """A part of one's own with entries: the field that is missing gets its line, everything else stays as it is."""
    from kb.store import read
    from kb.store.write import write_record

    with Base(own) as base:
        pan = read.record(base._con, "pan", "bench-38-pan")
        port = {"id": "own-port", "land": {"value": "4.8 mm", "with": "caliper"}}
        write_record(own, {**pan, "ports": [port]}, by="tests", origin="tests")
        told = base.measure("drover-good", overrides={"pan.ports.rear-feed.bore": "?", "pan.rail_pattern": "?"})
        names = {each.name for each in told.readings}
        records = blank(own, "drover-good", told, by="E. Marsh", date="2024-05-13")
    assert names
    path = tmp_path / "readings.yaml"
    path.write_text(records, encoding="utf-8")
    _, unmoved = load_records(own, "drover-good", str(path), by="E. Marsh")
    assert unmoved.status == 0
    for name in names:
        assert name.rpartition(".")[2] in records


@pytest.mark.parametrize(
    ("content", "due"), [(b"\xff\xfe\x00", "is no text"), (b"nothing here", "no line of it is a reading")]
)
def test_files_that_are_no_sheet(tmp_path: Path, content: bytes, due: str) -> None:
    path = tmp_path / "sheet.txt"
    path.write_bytes(content)
    with pytest.raises(Fault, match=due) as caught:
        read_file(str(path))
    assert str(path) in caught.value.place


def test_a_file_that_is_not_there() -> None:
    with pytest.raises(Fault, match="cannot be read"):
        read_file("/nowhere/at/all.txt")


@pytest.mark.parametrize("build", OPEN_BUILDS)
def test_the_sheets_say_what_to_read_with_what_and_warn(sample: str, build: str) -> None:
    with Base(sample) as base:
        told = base.measure(build)
    text, html = as_sheet(told), as_html(told)
    assert max(map(len, text.splitlines())) <= 100
    for sheet in (text, html):
        assert "pan.sump_depth" in sheet
        assert "steel rule" in sheet
        assert "fire extinguisher" in sheet
    assert html.startswith("<!DOCTYPE html>")
    assert html.count('class="box"') == len(told.readings)
    assert "size: A4" in html


def test_hostile_names_are_words_on_the_html_sheet(own: str) -> None:
    from kb.store import read
    from kb.store.write import write_record

    with Base(own) as base:
        record = read.record(base._con, "build", "drover")
        write_record(own, {**record, "name": "<script>alert(1)</script>"}, by="tests", origin="tests")
        html = as_html(base.measure("drover"))
    assert "<script>" not in html
    assert "&lt;script&gt;" in html
