"""Hostile text in every text field of every kind, and every page and table that shows it: it stays text."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from kb.records import KINDS
from kb.store.load import init, load
from tests.hostile import hostile_records
from tests.web.visiting import House, Read, Visitor

# What a page of ours may hold; a picture that nobody put there came out of a record.
OURS = ("/photo/", "/-/matchmark/")
WHOLE = (
    "/", "/fit?build=hostile", "/find?role=pan&build=hostile", "/part", "/search?q=alert", "/search?q=DROP",
    "/incompatibility", "/incompatibility/hostile-clash", "/incompatibility/new?build=hostile", "/audit",
    "/build/hostile", "/build/hostile/readings", "/build/hostile/circuits", "/build/hostile/sheet",
    "/build/hostile/buy", "/build/hostile/trace", "/compare?a=hostile&b=hostile", "/rule/pickup-floor-gap",
    "/base", "/base/part", "/base/build", "/base/incompatibility", "/base/source", "/base/build/hostile",
    "/base/incompatibility/hostile-clash", "/here?build=hostile&role=pan&part=hostile-pan",
)  # fmt: skip
# These show no text of a record's own before something is chosen.
SAY_NOTHING = ("/rule/pickup-floor-gap", "/base", "/incompatibility/new?build=hostile")


@pytest.fixture(scope="module")
def visitor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visitor]:
    folder = tmp_path_factory.mktemp("hostile")
    file, path = folder / "every.json", str(folder / "kb.db")
    file.write_text(json.dumps(hostile_records.every()), encoding="utf-8")
    init(path)
    load(path, [Path(file)], by="hostile")
    house = House(path, writer="keeper")
    yield Visitor(house).sign_in()
    house.close()


def plain(visitor: Visitor, address: str) -> None:
    """The page shows it, and nothing of it became markup."""
    answer = visitor.get(address)
    assert answer.status_code == 200, (address, answer.status_code)
    page = Read(answer.text)
    assert page.strange_scripts() == [], address
    assert [each for each in page.all("img") if not each.get("src", "").startswith(OURS)] == [], address
    handlers = [name for _, found in page.tags for name in found if name.startswith("on")]
    assert handlers == [], address
    assert "$49" not in page.words, address  # no template worked out 7 * 7
    assert "alert(1)" in page.words or address in SAY_NOTHING, address


@pytest.mark.parametrize("address", WHOLE)
def test_a_page_keeps_it_text(visitor: Visitor, address: str) -> None:
    plain(visitor, address)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_part_of_every_kind_keeps_it_text(visitor: Visitor, kind: str) -> None:
    id = f"hostile-{kind.replace('_', '-')}"
    for address in (f"/part/{id}", f"/part/{id}/measure", f"/base/{kind}", f"/base/{kind}/{id}"):
        answer = visitor.get(address)
        assert answer.status_code == 200, (address, answer.status_code)
        page = Read(answer.text)
        assert page.strange_scripts() == [], address
        assert [each for each in page.all("img") if not each.get("src", "").startswith(OURS)] == [], address
        assert [name for _, found in page.tags for name in found if name.startswith("on")] == [], address


def test_the_tables_are_still_there(visitor: Visitor) -> None:
    """No text ran as SQL: every record that was loaded is still in its table."""
    listed = visitor.get("/part.json").json()
    assert {kind for kind, each in listed.items() if each["count"]} >= set(KINDS)
