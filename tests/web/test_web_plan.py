"""The plan as a page."""

from __future__ import annotations

import pytest

from kb.store.read import build, open_readonly
from tests.web.visiting import House, Read, Visitor


def test_a_build_that_lacks_parts_says_what_nothing_fills(stranger: Visitor) -> None:
    response = stranger.get("/build/drover/plan?milestone=prime")
    page = Read(response.text)
    assert response.status_code == 200
    assert "no recorded part can fill" in page.words.lower()
    assert page.unlabelled() == []
    data = stranger.get("/build/drover/plan.json?milestone=prime").json()
    assert data["status"] == "impossible"
    assert "block" in data["nothing_fills"]
    assert data["why_not"]["nothing_fills"] == data["nothing_fills"]


@pytest.mark.parametrize(
    ("query", "status", "said"),
    [
        ("budget=much", 400, "no amount of money"),
        ("budget=-3", 400, "no budget"),
        ("change=all", 400, "no sort of change"),
        ("keep=pan&avoid=my-pan", 400, "to be kept"),
        ("keep=pam", 404, "pam"),
        ("milestone=fly", 404, "fly"),
    ],
)
def test_what_cannot_be_asked_is_told(stranger: Visitor, query: str, status: int, said: str) -> None:
    for twin in ("", ".json"):
        response = stranger.get(f"/build/drover/plan{twin}?{query}")
        assert response.status_code == status
        assert said in response.text


def test_what_users_wrote_stays_text(stranger: Visitor) -> None:
    text = stranger.get("/build/hostile/plan?keep=%3Cscript%3Ealert(1)%3C/script%3E").text
    assert "<script>alert" not in text


def test_taking_a_plan_writes_the_roles(writer: Visitor, own_house: House) -> None:
    response = writer.post("/build/drover/plan", {"take": "pickup=long-tube"})
    assert response.status_code == 303
    with open_readonly(own_house.path) as con:
        assert build(con, "drover").roles["pickup"].part == "long-tube"


def test_an_empty_plan_is_not_taken(writer: Visitor) -> None:
    assert writer.post("/build/drover/plan", {}).status_code == 400
