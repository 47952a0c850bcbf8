"""`matchmark incompat add --photo`: pictures as evidence on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from kb.store import photos
from kb.store.load import init
from kb.store.write import write_record
from tests.cli.running import process
from tests.pictures import JPEG, PNG

FLAGS = ("--title", "Foot on the floor", "--party", "pan=deep", "--symptom", "no oil", "--found", "bench", "--harm",
         "destroys", "--milestone", "prime")  # fmt: skip


@pytest.fixture
def base(tmp_path: Path) -> Path:
    path = tmp_path / "kb.db"
    init(path)
    write_record(str(path), {"kind": "pan", "id": "deep", "name": "Deep pan"}, by="x", origin="test")
    (tmp_path / "a.png").write_bytes(PNG)
    (tmp_path / "b.jpeg").write_bytes(JPEG)
    (tmp_path / "virus.jpg").write_bytes(b"<script>alert(1)</script>")
    return path


def test_pictures_are_kept_and_named_in_the_evidence(base: Path) -> None:
    files = ("--photo", "a.png", "--photo", "b.jpeg", "--evidence", "clay stood at 1 mm")
    done = process("incompat", "add", "--db", str(base), *FLAGS, *files, cwd=base.parent)
    assert done.status == 0, done.err
    shown = json.loads(process("incompat", "show", "foot-on-the-floor", "--db", str(base), "--json").out)
    names = [photos.name_of(PNG), photos.name_of(JPEG)]
    assert shown["evidence"] == [
        {"text": "clay stood at 1 mm"}, *({"text": "see the picture", "photo": name} for name in names),
    ]  # fmt: skip
    assert photos.kept(base) == set(names)
    assert f"picture: {names[0][:20]}" in process("incompat", "show", "foot-on-the-floor", "--db", str(base)).out


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--photo", "a.png", "--photo", "virus.jpg"), "virus.jpg: this is no picture"),
        (("--photo", "none.jpg"), "none.jpg: cannot be read"),
        (("--photo", "a.png", "--reading", "pan.sump_dept=188 mm"), "did you mean sump_depth"),
        (("--photo", "a.png", "--id", "No Id"), "is no id"),
    ],
)
def test_where_one_thing_is_refused_nothing_is_kept(base: Path, more: tuple[str, ...], words: str) -> None:
    done = process("incompat", "add", "--db", str(base), *FLAGS, *more, cwd=base.parent)
    assert done.status == 2
    assert words in done.err
    assert done.step
    assert photos.kept(base) == set()
    assert process("incompat", "list", "--db", str(base), "--json").out.strip() == "[]"


def test_a_picture_alone_says_too_little(base: Path) -> None:
    done = process("incompat", "add", "--db", str(base), "--photo", "a.png", cwd=base.parent)
    assert (done.status, "says too little" in done.err) == (2, True)
