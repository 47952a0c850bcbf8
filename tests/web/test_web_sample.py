"""Every record of the sample has a page that is whole; and a plain `datasette` that finds the plugin stays closed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from datasette.app import Datasette

from kb.store.load import init
from kb.store.read import ids, open_readonly
from kb.web import host
from tests.web.visiting import House, Read, Visitor


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    path = str(tmp_path_factory.mktemp("sample") / "sample.db")
    init(path, sample=True)
    made = House(path)
    yield made
    made.close()


def test_every_part_has_a_whole_page(sample: House) -> None:
    con = open_readonly(sample.path)
    every = ids(con)
    con.close()
    assert len(every) > 50
    for id in every:
        response = Visitor(sample).get(f"/part/{id}?units=in")
        assert response.status_code == 200, id
        assert len(Read(response.text).all("h1")) == 1, id
        assert Visitor(sample).get(f"/part/{id}.json").json()["id"] == id


def test_every_build_is_checked_and_drawn(sample: House) -> None:
    con = open_readonly(sample.path)
    every = ids(con, "build")
    con.close()
    assert "drover" in every
    for id in every:
        response = Visitor(sample).get(f"/fit?build={id}")
        assert response.status_code == 200, id
        assert "drawing cannot be made" not in response.text, id
        page = Read(response.text)
        found = [found["id"] for _, found in page.tags if "id" in found]
        assert len(found) == len(set(found)), f"{id}: an id stands twice"
        assert page.all("svg")


def test_every_incompatibility_has_its_page(sample: House) -> None:
    con = open_readonly(sample.path)
    every = ids(con, "incompatibility")
    con.close()
    assert every
    for id in every:
        assert Visitor(sample).get(f"/incompatibility/{id}").status_code == 200, id


def test_the_sample_folder_is_not_told(sample: House) -> None:
    folder = str(Path(__file__).parents[2])
    assert folder not in Visitor(sample).get("/part/calder-38-pan").text


def test_under_a_plain_datasette_everything_is_read_only(small_base: str, house: House) -> None:
    plain = House.__new__(House)
    plain.loop, plain.thread, plain.path = house.loop, house.thread, small_base
    plain.datasette = Datasette([small_base])  # `house` has registered the plugin
    plain.app = plain.datasette.app()
    try:
        assert host.site_of(plain.datasette).public
        visitor = Visitor(plain)
        assert visitor.get("/fit?build=drover").status_code == 200
        assert visitor.get("/small/pan").status_code == 200
        assert visitor.get("/small?sql=select+1").status_code == 403
        assert visitor.get("/incompatibility/new").status_code == 403
        assert visitor.post("/incompatibility/new", {}).status_code == 403
        assert visitor.get("/", headers={"host": "evil.example"}).status_code == 403
    finally:
        for database in plain.datasette.databases.values():
            database.close()
