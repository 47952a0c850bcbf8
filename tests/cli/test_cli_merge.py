"""`matchmark merge`, and the voices of `matchmark incompat`."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kb.store.load import init
from kb.store.write import write_record
from tests.cli.running import process

PAN = {"kind": "pan", "id": "deep", "name": "Deep pan", "sump_depth": "190 +/- 1 mm"}
CLASH = {
    "kind": "incompatibility", "id": "shallow", "title": "Shallow", "parties": [{"role": "pan", "part": "deep"}],
    "symptom": "no oil", "found": "bench", "by": "Sam", "harm": "destroys", "milestone": "prime",
}  # fmt: skip


@pytest.fixture
def base(tmp_path: Path) -> Path:
    path = tmp_path / "kb.db"
    init(path)
    for record in (PAN, CLASH):
        write_record(str(path), record, by="Sam", origin="test")
    theirs = [{**PAN, "name": "Other name", "sump_depth": "189 +/- 1 mm"}, {"kind": "pan", "id": "new", "name": "New"}]
    (tmp_path / "theirs.json").write_text(json.dumps(theirs), encoding="utf-8")
    return path


def test_a_merge_says_what_it_did_and_how_to_settle_the_rest(base: Path) -> None:
    done = process("merge", "theirs.json", "--db", str(base), "--by", "Kim", cwd=base.parent)
    assert done.status == 1
    for words in (
        "1 added\n  pan new", "1 readings joined yours", "pan deep, name: yours Deep pan; theirs Other name",
        "next: --take theirs pan/deep takes theirs",
    ):  # fmt: skip
        assert words in done.out
    settled = process("merge", "theirs.json", "--db", str(base), "--take", "theirs", "pan/deep", cwd=base.parent)
    assert settled.status == 0
    again = process("merge", "theirs.json", "--db", str(base), "--json", cwd=base.parent)
    assert again.status == 0
    found = json.loads(again.out)
    assert (found["added"], found["left"], found["same"]) == ([], [], ["pan/deep", "pan/new"])


def test_a_try_says_so_and_leaves_the_base(base: Path) -> None:
    done = process("merge", "theirs.json", "--db", str(base), "--try", cwd=base.parent)
    assert (done.status, "nothing was written" in done.out) == (1, True)
    assert "1 added" in process("merge", "theirs.json", "--db", str(base), "--try", cwd=base.parent).out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("nothing.json",), "nothing.json"),
        (("theirs.json", "--take", "thiers", "pan/deep"), "did you mean theirs"),
        (("theirs.json", "--take", "theirs", "pan/depe"), "did you mean pan/deep"),
        (("theirs.json", "--take", "theirs", "deep", "--take", "ours", "deep"), "is given twice"),
    ],
)
def test_faults_are_told_with_a_step(base: Path, words: tuple[str, ...], told: str) -> None:
    done = process("merge", *words, "--db", str(base), cwd=base.parent)
    assert done.status == 2
    assert told in done.err
    assert done.step


def test_voices_join_and_move_the_confidence(base: Path) -> None:
    db = ("--db", str(base))
    done = process("incompat", "agree", "shallow", "--by", "Lee", "--text", "mine too", *db)
    assert "75%" in done.out  # (1 + 2) / (2 + 2), see docs/merging.md
    done = process("incompat", "disagree", "shallow", "--by", "Ash", "--json", *db)
    assert json.loads(done.out)["confidence"] == 0.6  # (1 + 2) / (2 + 2 + 1)
    shown = " ".join(process("incompat", "show", "shallow", *db).out.split())
    assert "60% = (1 + 2) / (2 + 2 + 1)" in shown
    assert "Lee saw it too" in shown
    assert "reported, 60%: Shallow" in process("incompat", "list", *db).out
    missing = process("incompat", "agree", "shalow", *db)
    assert (missing.status, "did you mean shallow" in missing.err) == (2, True)
