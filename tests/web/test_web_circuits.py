"""The pages of circuits and of the first-start sheet, visited on the sample."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from kb.circuit.ports import names
from kb.store.load import init
from tests.web.visiting import House, Read, Visitor


@pytest.fixture(scope="module")
def sampled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Visitor]:
    path = tmp_path_factory.mktemp("circuits") / "sample.db"
    init(path, sample=True)
    house = House(str(path))
    yield Visitor(house)
    house.close()


def test_breaks_come_with_pictures_and_data(sampled: Visitor) -> None:
    response = sampled.get("/build/drover/circuits")
    assert response.status_code == 200
    page = Read(response.text)
    assert len(page.all("h1")) == 1
    assert len(page.all("svg")) > len(names())
    ids = re.findall(r' id="([^"]+)"', response.text)
    assert len(ids) == len(set(ids))
    assert "/rule/passage-sealing" in response.text
    assert "As it stands, nothing reaches" in response.text
    assert " style=" not in response.text
    data = sampled.get("/build/drover/circuits.json").json()
    assert data["state"] == "broken"
    assert [each["at"] for each in data["breaks"]] == ["oil.passage-rear-feed"]


def test_one_circuit_alone(sampled: Visitor) -> None:
    response = sampled.get("/build/drover/circuits?circuit=start")
    assert "starter stud" in response.text
    assert "mouth of the pickup" not in response.text
    assert sampled.get("/build/drover/circuits.json?circuit=start").json()["state"] == "whole"


def test_circuits_that_are_not_there(sampled: Visitor) -> None:
    response = sampled.get("/build/drover/circuits?circuit=%3Cb%3E")
    assert response.status_code in (400, 404)
    assert "<b>" not in response.text
    assert sampled.get("/build/nobody/circuits").status_code == 404
    empty = sampled.get("/build/drover-manual/circuits")
    assert empty.status_code == 200
    assert "None of its parts belongs to a circuit" in empty.text


def test_every_build_has_both_pages(sampled: Visitor) -> None:
    for build in ("drover-good", "farm-33", "pair-fits", "pair-unknown", "drover-manual"):
        for page in ("circuits", "sheet"):
            response = sampled.get(f"/build/{build}/{page}")
            assert response.status_code == 200, (build, page)
            assert len(Read(response.text).all("h1")) == 1


def test_the_sheet_can_be_printed_and_traced_from(sampled: Visitor) -> None:
    response = sampled.get("/build/drover/sheet?units=in")
    assert response.status_code == 200
    assert "will fail" in response.text
    assert "/build/drover/trace?symptom=oil-prime" in response.text
    assert "psi" in response.text
    assert " style=" not in response.text
    ids = re.findall(r' id="([^"]+)"', response.text)
    assert len(ids) == len(set(ids))
    data = sampled.get("/build/drover/sheet.json").json()
    assert data["phases"][0]["id"] == "before_priming"
