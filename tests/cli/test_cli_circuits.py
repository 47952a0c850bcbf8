"""`matchmark circuits` and `matchmark sheet` on the sample."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from kb.circuit.ports import names
from tests.cli.running import Ran

Run = Callable[..., Ran]


@pytest.fixture
def circuits(run: Run, sample: str) -> Run:
    return lambda *words: run("circuits", "--db", sample, *words)


@pytest.fixture
def sheet(run: Run, sample: str) -> Run:
    return lambda *words: run("sheet", "--db", sample, *words)


def test_a_whole_build(circuits: Run) -> None:
    ran = circuits("drover-good")
    assert ran.status == 0
    assert "Circuits whole:" in ran.out
    assert all(f"{name.upper()}: whole" in ran.out for name in names())
    assert max(len(line) for line in ran.out.splitlines()) <= 100


def test_a_broken_build_says_the_break_first(circuits: Run) -> None:
    ran = circuits("drover")
    assert ran.status == 1
    lines = ran.out.splitlines()
    first = next(at for at, line in enumerate(lines) if line.startswith("X oil: flange with a gasket, rear-feed"))
    assert first < next(at for at, line in enumerate(lines) if line == "OIL: broken")
    assert "Rule: passage-sealing." in ran.out
    assert "[FALLS BACK]" in ran.out


def test_one_circuit_alone(circuits: Run) -> None:
    ran = circuits("drover", "start")
    assert ran.status == 0
    assert "OIL" not in ran.out
    assert "START: whole" in ran.out


def test_a_part_to_try(circuits: Run) -> None:
    assert circuits("drover", "oil", "pan=bench-38-pan").status == 0
    assert circuits("drover-good", "oil", "pan=bench-first-pan").status == 1


def test_values_to_try_and_what_nobody_recorded(circuits: Run) -> None:
    ran = circuits("drover-good", "charge", "charge_cable.lands_on=?")
    assert ran.status == 3
    assert "the record of the charge cable does not say: where its other end is bolted" in " ".join(ran.out.split())
    assert "[cannot tell]" in ran.out


def test_plain_data(circuits: Run) -> None:
    ran = circuits("drover", "oil", "--json")
    assert ran.status == 1
    data = json.loads(ran.out)
    assert data["state"] == "broken"
    (oil,) = data["circuits"]
    assert data["breaks"][0]["at"] == "oil.passage-rear-feed"
    assert {node["id"]: node["shows"] for node in oil["nodes"]}["gallery"] == "none"
    assert "oil.passage-rear-feed" in {joint["id"] for joint in oil["joints"]}


@pytest.mark.parametrize(
    ("words", "due"),
    [
        (("drover", "watr"), "there is no circuit named 'watr'"),
        (("drovr",), "drovr"),
        (("drover", "oil", "fuel"), "one name too many"),
        (("pair-fits", "fuel"), "there is no circuit named 'fuel'"),
    ],
)
def test_bad_words(circuits: Run, words: tuple[str, ...], due: str) -> None:
    ran = circuits(*words)
    assert ran.status == 2
    assert due in ran.err
    assert "next:" in ran.err


def test_the_sheet_as_text(sheet: Run) -> None:
    ran = sheet("drover-good")
    assert ran.status == 0
    order = ["BEFORE PRIMING", "PRIMING", "BEFORE CRANKING", "CRANKING", "FIRST FIRE", "THE FIRST TEN MINUTES"]
    places = [ran.out.index(f"\n{each}\n") for each in order]
    assert places == sorted(places)
    assert "matchmark trace drover-good --symptom oil-prime" in ran.out
    assert "never a certificate" in " ".join(ran.out.split())
    assert max(len(line) for line in ran.out.splitlines()) <= 100


def test_the_sheet_as_a_page(sheet: Run, tmp_path: Path) -> None:
    ran = sheet("drover-good", "--out", str(tmp_path / "s.html"))
    assert ran.status == 0
    assert "wrote" in ran.out
    page = (tmp_path / "s.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert "<script" not in page
    assert "First fire" in page


def test_the_sheet_as_text_in_a_file(sheet: Run, tmp_path: Path) -> None:
    assert sheet("drover-good", "--out", str(tmp_path / "s.html"), "--text").status == 0
    assert (tmp_path / "s.html").read_text(encoding="utf-8").startswith("First start")


def test_the_sheet_as_data(sheet: Run) -> None:
    data = json.loads(sheet("drover-good", "--json", "--units", "in").out)
    steps = {step["id"]: step for phase in data["phases"] for step in phase["steps"]}
    # 28 and 48 kPa are the carburettor's own band in the sample
    assert steps["fuel-pressure"]["figures"]["low"] == {"value": 28000.0, "quantity": "pressure"}
    assert "psi" in steps["fuel-pressure"]["passes"]


def test_sheets_that_cannot_be(sheet: Run, tmp_path: Path) -> None:
    assert "no build is named" in sheet("pan=bench-38-pan").err
    ran = sheet("drover", "--out", str(tmp_path / "no" / "s.html"))
    assert ran.status == 2
    assert "cannot write it" in ran.err
