"""`matchmark measure` and `matchmark compare`: lists, sheets, entering what was read, statuses, faults."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.running import Ran

Run = Callable[..., Ran]


@pytest.fixture
def measure(run: Run, sample: str) -> Run:
    return lambda *words: run("measure", "--db", sample, *words)


@pytest.fixture
def compare(run: Run, sample: str) -> Run:
    return lambda *words: run("compare", "--db", sample, *words)


def test_the_list_says_what_with_what_and_what_it_settles(measure: Run) -> None:
    ran = measure("drover")
    assert ran.status == 0
    assert "1 verdict is open" in ran.out
    assert " 1. pan.sump_depth" in ran.out
    assert "pickup-floor-gap" in ran.out
    assert "fire extinguisher" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    assert len(ran.out.splitlines()) < 40  # one screen


def test_the_data_has_the_same_readings_as_the_text(measure: Run) -> None:
    text, plain = measure("pair-unknown"), json.loads(measure("pair-unknown", "--json").out)
    names = [each["input"] for item in plain["items"] for each in item["readings"]]
    assert re.findall(r"^ *\d+\. (\S+):", text.out, re.MULTILINE) == names == ["pan.sump_depth"]
    (item,) = plain["items"]
    assert item["settled"] == pytest.approx(sum(item["by_harm"].values()))
    assert {each["finding"] for each in item["findings"]} == set(plain["undecided"])
    assert plain["written"] == []


def test_nothing_left_to_measure(measure: Run) -> None:
    ran = measure("drover-good")
    assert ran.status == 0
    assert "Nothing is left to measure" in ran.out


def test_narrowed_down(measure: Run) -> None:
    assert "with depth gauge" in measure("drover", "--tool", "depth-gauge").out
    assert "no reading in the yard would settle any" in measure("drover", "--at", "yard").out
    assert "before priming the oil" in measure("drover-good", "pickup.hang=?", "--for", "prime").out
    assert " 1. pan.sump_depth" in measure("drover", "--by-tool").out
    assert '"order": "tool"' in measure("drover", "--by-tool", "--json").out
    assert '"unit": "in"' in measure("drover", "--units", "in", "--json").out


def test_parts_named_on_the_line_are_weighed_too(measure: Run) -> None:
    words = ("block=bench-38-yard", "pan=aldine-38-rear-sump", "pan_gasket=calder-38-gasket", "pickup=bench-38-pickup")
    ran = measure(*words)
    assert ran.status == 0
    assert "pan.sump_depth" in ran.out


def test_a_sheet_is_filled_in_and_comes_back(measure: Run, run: Run, own: str, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.txt"
    ran = measure("pair-unknown", "--sheet", str(sheet))
    written, after, hint = ran.out.splitlines()
    assert written == f"written: {sheet}"
    assert after == f"Next: matchmark measure pair-unknown --enter {sheet}"
    assert "filled in" in hint
    assert measure("pair-unknown", "--sheet", "-").out == sheet.read_text(encoding="utf-8")
    text = re.sub(
        r"sump_depth = _+ mm  with steel-rule", "sump_depth = 190 mm  with depth-gauge", sheet.read_text("utf-8")
    )
    sheet.write_text(text, encoding="utf-8")
    ran = run("measure", "pair-unknown", "--db", own, "--enter", str(sheet), "--by", "E. Marsh", "--date", "2024-05-13")
    assert (ran.status, ran.err) == (0, "")
    assert "pan.sump_depth = 190 mm" in ran.out
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out
    assert run("check", "pair-unknown", "--db", own).status == 0
    data = json.loads(run("measure", "pair-unknown", "--db", own, "--enter", str(sheet), "--json").out)
    assert data["entered"][0] == "pan.sump_depth = 190 mm"


def test_a_reading_against_the_old_ones_is_told(run: Run, own: str, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.txt"
    sheet.write_text("pan.sump_depth = 180 mm with depth-gauge\n", encoding="utf-8")  # 194 +/- 1.5 mm was read before
    ran = run("measure", "drover", "--db", own, "--enter", str(sheet))
    assert "two readings disagree" in ran.out
    assert "instead of the old readings" in ran.out
    sheet.write_text("pan.sump_depth = 189 mm with depth-gauge instead of the old readings\n", encoding="utf-8")
    ran = run("measure", "drover", "--db", own, "--enter", str(sheet))
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out


def test_records_to_fill_in_are_loaded_straight_back(measure: Run, run: Run, own: str, tmp_path: Path) -> None:
    blank = tmp_path / "readings.yaml"
    assert measure("pair-unknown", "--blank", str(blank)).status == 0
    text = blank.read_text(encoding="utf-8")
    blank.write_text(
        text.replace("# sump_depth: {value:            mm", "sump_depth: {value: 190 mm"), encoding="utf-8"
    )
    assert run("check", "pair-unknown", "--db", own).status == 3
    assert run("load", "--db", own, str(blank)).status == 0
    assert run("check", "pair-unknown", "--db", own).status == 0


def test_filled_records_can_be_entered_too(measure: Run, run: Run, own: str, tmp_path: Path) -> None:
    blank = tmp_path / "readings.yaml"
    measure("pair-unknown", "--blank", str(blank))
    text = blank.read_text(encoding="utf-8")
    blank.write_text(
        text.replace("# sump_depth: {value:            mm", "sump_depth: {value: 190 mm"), encoding="utf-8"
    )
    ran = run("measure", "pair-unknown", "--db", own, "--enter", str(blank))
    assert "2 records changed" in ran.out
    assert "pickup-floor-gap: cannot tell -> fits" in ran.out


def test_records_that_are_not_there(run: Run, own: str) -> None:
    ran = run("measure", "drover", "--db", own, "--enter", "/nowhere/sheet.yaml")
    assert ran.status == 2
    assert "no such file" in ran.err


def test_a_build_without_parts(run: Run, own: str, tmp_path: Path) -> None:
    bare = tmp_path / "bare.yaml"
    bare.write_text("kind: build\nid: bare\nname: Nothing yet\nroles: {}\n", encoding="utf-8")
    assert run("load", "--db", own, str(bare)).status == 0
    for words in (("measure", "bare"), ("compare", "bare", "drover"), ("compare", "drover", "bare")):
        ran = run(*words, "--db", own)
        assert ran.status == 2
        assert "has no parts yet" in ran.err
        assert ran.step.startswith("fill its roles first")


def test_a_sheet_for_the_printer(measure: Run, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.html"
    assert measure("drover", "--sheet", str(sheet)).status == 0
    assert 'class="box"' in sheet.read_text(encoding="utf-8")
    again = measure("drover", "--sheet", str(sheet))
    assert again.status == 2
    assert "is there already" in again.err


@pytest.mark.parametrize(
    ("words", "due"),
    [
        (("drovr",), "no build named 'drovr'"),
        (("drover", "--at", "moon"), "cannot be 'moon'"),
        (("drover", "--tool", "tpae"), "no instrument named 'tpae'"),
        (("drover", "pan.sump_depht=?"), "sump_depht"),
        (("drover", "--enter", "/nowhere/sheet.txt"), "cannot be read"),
        (("pan=bench-38-pan", "--enter", "x.txt"), "readings belong to one recorded build"),
        (("drover", "pan.sump_depth=?", "--blank", "x.yaml"), "records to fill in are of one recorded build"),
        (("drover", "--sheet", "/nowhere/at/all.txt"), "cannot be written"),
    ],
)
def test_faults_say_what_and_what_next(measure: Run, words: tuple[str, ...], due: str) -> None:
    ran = measure(*words)
    assert ran.status == 2
    assert due in ran.err
    assert ran.step


# -- compare -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "status", "due"),
    [
        (("drover", "drover-good"), 0, "passage-sealing: does not fit -> fits"),
        (("drover-good", "drover"), 1, "passage-sealing: fits -> does not fit"),
        (("drover-good", "pan=bench-first-pan"), 1, "pan: bench-38-pan -> bench-first-pan"),
        (("drover-good", "pickup.hang=?"), 3, "not recorded: the hang of the pickup"),
        (("drover-good", "drover-good"), 0, "no verdict moves"),
    ],
)
def test_compared(compare: Run, words: tuple[str, ...], status: int, due: str) -> None:
    ran = compare(*words)
    assert (ran.status, ran.err) == (status, "")
    assert due in re.sub(r"\s+", " ", ran.out)
    plain: dict[str, Any] = json.loads(compare(*words, "--json").out)
    assert plain["exit_status"] == status


@pytest.mark.parametrize(
    ("words", "due"),
    [
        (("drover",), "nothing is named to compare it with"),
        (("drover", "drover-good", "farm-33"), "3 builds are named"),
        (("pan=bench-38-pan",), "no builds are named"),
        (("drover", "drovr-good"), "no build named 'drovr-good'"),
        (("drover", "pan=bench-38-pickup"), "takes a pan"),
        (("drover", "pan=bench-38-pan", "pan=bench-first-pan"), "given twice"),
    ],
)
def test_what_cannot_be_compared(compare: Run, words: tuple[str, ...], due: str) -> None:
    ran = compare(*words)
    assert ran.status == 2
    assert due in ran.err
    assert ran.step
