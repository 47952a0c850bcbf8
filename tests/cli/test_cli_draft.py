"""`matchmark incompat draft`: from what a check found to a record."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from kb.base import Base
from kb.chance import FITS
from kb.records.given import Given
from kb.records.models import check
from kb.say.check_record import draft
from kb.store.load import init
from tests.cli.running import Ran

Run = Callable[..., Ran]


def test_what_a_check_found_becomes_a_record(run: Run, tmp_path: Path) -> None:
    base, file = tmp_path / "s.db", tmp_path / "found.yaml"
    init(base, sample=True)
    words = ("incompat", "draft", str(file), "drover-low", "--rule", "pan-to-ground", "--by", "Sam", "--db", str(base))
    ran = run(*words, "--json")
    assert ran.status == 0
    record = yaml.safe_load(file.read_text(encoding="utf-8"))
    assert json.loads(ran.out)["id"] == record["id"]
    assert {each["role"] for each in record["parties"]} == {"pan", "pan_gasket", "car"}
    assert (record["harm"], record["milestone"], record["by"]) == (["destroys"], "drive", "Sam")
    ground = next(each for each in record["evidence"] if each["role"] == "car")
    assert (ground["feature"], ground["reading"]) == ("ground", "310 mm")  # as sample_db says of the lowered car
    assert run("incompat", "add", str(file), "--db", str(base)).status == 0
    assert record["title"] in run("incompat", "show", record["id"], "--db", str(base)).out.replace("\n    ", " ")
    again = run(*words)
    assert (again.status, "there is such a file already" in again.err) == (2, True)


def test_whatever_a_rule_says_no_to_drafts_a_good_record(sample: str) -> None:
    drafted = 0
    with Base(sample) as base:
        for build in base.ids("build"):
            if not base.record_of(build).roles:
                continue
            answer = base.check(build)
            for finding in answer.findings:
                if finding.verdict != FITS:
                    record = draft(finding, answer.build, date="2024-05-01", by="Sam")
                    assert check(Given(record)).kind == "incompatibility", finding.name
                    drafted += 1
    assert drafted >= 10


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("drover-good", "--rule", "pan-to-ground"), "has nothing against these parts"),
        (("drover-low", "--rule", "pan-to-grund"), "did you mean pan-to-ground"),
        (("drover-lo", "--rule", "pan-to-ground"), "there is no build"),
    ],
)
def test_what_cannot_be_drafted_is_told(
    run: Run, tmp_path: Path, sample: str, words: tuple[str, ...], said: str
) -> None:
    ran = run("incompat", "draft", str(tmp_path / "x.yaml"), *words, "--db", sample)
    assert (ran.status, said in ran.err) == (2, True)
    assert not (tmp_path / "x.yaml").exists()


def test_the_file_has_to_go_somewhere(run: Run, tmp_path: Path, sample: str) -> None:
    gone = tmp_path / "missing" / "x.yaml"
    ran = run("incompat", "draft", str(gone), "drover-low", "--rule", "pan-to-ground", "--db", sample)
    assert (ran.status, "cannot be written" in ran.err) == (2, True)
