"""What every version of the tables left opens, and says the same afterwards; a newer one is refused with words."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from kb.base import Base
from kb.store import opening, schema
from kb.store.dump import content_hash, dump
from kb.store.load import init, load
from tests.cli.running import Ran
from tests.faults.trouble import OLD, old, sound

Run = Callable[..., Ran]
VERSIONS = range(1, opening.VERSION + 1)


def test_every_version_has_its_frozen_text() -> None:
    # A new step needs the text of the version before it, and its own: init, load, then the schema and rows as SQL.
    assert sorted(each.name for each in OLD.iterdir()) == [f"version_{number}.sql" for number in VERSIONS]


@pytest.mark.parametrize("version", VERSIONS)
def test_it_comes_up_and_answers(version: int, tmp_path: Path, run: Run) -> None:
    path = old(version, tmp_path / "old.db")
    assert opening.look(path) == version
    with closing(sqlite3.connect(path)) as con:
        told = con.execute("SELECT kind, record, after FROM history ORDER BY id").fetchall()
    assert len(told) == 29  # records in the text, counted there
    schema.migrate(path)
    sound(path)
    with Base(path) as base:
        assert base.record_of("drover").roles["pan"].part == "bench-first-pan"  # names as in the frozen text
        assert [each.id for each in base.incompatibilities()] == ["aldine-pan-on-calder-38"]
    with closing(sqlite3.connect(path)) as con:
        assert con.execute("SELECT kind, record, after FROM history ORDER BY id").fetchall() == told
    assert run("check", "drover", "--db", path).status == 1  # the known clash of that pan with that block
    # As if its records had been loaded into a new one.
    dump(path, tmp_path / "out")
    fresh = tmp_path / "fresh.db"
    init(fresh)
    load(fresh, [tmp_path / "out"], by="x")
    assert content_hash(path) == content_hash(fresh)


@pytest.mark.parametrize("words", [("check", "drover"), ("reading", "drover", "pan.sump_depth=1mm"), ("backup",)])
def test_a_newer_one_is_refused_with_words(words: tuple[str, ...], base: str, run: Run) -> None:
    with closing(sqlite3.connect(base)) as con:
        con.execute(f"PRAGMA user_version = {opening.VERSION + 1}")
    ran = run(*words, "--db", base)
    assert ran.status == 2
    assert f"is of a newer version ({opening.VERSION + 1})" in ran.err
    assert "update matchmark" in ran.step
