"""The audit's page: every case with its outcome, links, the twin in JSON."""

from __future__ import annotations

from kb.store.write import set_status
from tests.web.visiting import House, Read, Visitor


def test_a_base_without_confirmed_clashes_says_so(stranger: Visitor) -> None:
    response = stranger.get("/audit")
    assert response.status_code == 200
    assert "nothing to replay" in response.text
    assert stranger.get("/audit.json").json()["share"] is None


def test_the_page_shows_what_is_not_foreseen(own_house: House) -> None:
    set_status(own_house.path, "hostile-clash", "confirmed", by="sam", reason="saw it")
    visitor = Visitor(own_house)
    page = visitor.get("/audit")
    read = Read(page.text)
    assert page.status_code == 200
    assert "<script>alert" not in page.text
    assert "/incompatibility/hostile-clash" in [link.get("href") for link in read.all("a")]
    assert read.unlabelled() == []
    assert [found["id"] for _, found in read.tags if "id" in found].count("not-foreseen") == 1
    (case,) = visitor.get("/audit.json").json()["cases"]
    assert (case["id"], case["outcome"]) == ("hostile-clash", "not foreseen")


def test_reported_ones_are_replayed_when_asked(stranger: Visitor) -> None:
    assert [case["id"] for case in stranger.get("/audit.json?reported=yes").json()["cases"]] == ["hostile-clash"]


def test_the_list_of_incompatibilities_leads_there(stranger: Visitor) -> None:
    assert "/audit" in [link.get("href") for link in Read(stranger.get("/incompatibility").text).all("a")]
